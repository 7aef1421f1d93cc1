"""Substitutes: a formulation and what it must be free of; each swap with its grams, its price and its next step."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, Flask, Response, make_response, render_template, request
from werkzeug.datastructures import MultiDict
from wtforms import Form, SelectChoice, SelectField  # type: ignore[import-untyped]

from webapp.advice.brief import MOST_OWN, Brief, OwnFormula
from webapp.advice.own_formulas import PREFIX
from webapp.advice.substitutes import (
    AVOIDABLE,
    Avoided,
    Effect,
    Fit,
    Nearby,
    Offence,
    Substitutes,
    Way,
)
from webapp.advice.substitutes_contract import (
    SubstitutesOut,
    answer,
    cautions_for,
    own_formula,
    plain_name,
    read_request,
    write_substitutes,
)
from webapp.catalogue.model import Catalogue, Fact
from webapp.errors import BriefError, FieldProblem
from webapp.pages.advisor import current_catalogue
from webapp.pages.brief_address import Pair, address_of, brief_of, brief_shape, in_metric
from webapp.pages.brief_fields import CHOICES
from webapp.pages.brief_form import CheckboxesField
from webapp.pages.families import titles_of
from webapp.pages.formatters import chance, fact_range, field_noun
from webapp.pages.guard import may
from webapp.pages.household import LEAST_IN_OUNCES_G, ounces
from webapp.pages.plan_options import with_options
from webapp.pages.problem_texts import Shown
from webapp.pages.shop_advice import current_service
from webapp.pages.units_switch import reader_measures
from webapp.units import Measures

PAGE = "/substitutes"
OWN_FIELDS = frozenset({"formulation", "avoid", "units"})
AVOIDED: Mapping[str, str] = CHOICES["diet"] | {"bone-char-free": "Cane sugar refined with bone char"}
FIDELITIES = {
    "faithful": "Faithful: made and eaten as the same icing",
    "workable": "Workable: close, and you will notice",
    "different-icing": "A different icing",
}
# Water that goes with a swap of fat is told from this share of the fat on; less is lost in the weighing. Assumption.
LEAST_WATER = 0.01
# Below these a change is smaller than anyone tells.
NOTICED = {"sweetness": 1.0, "softens": 1.0, "smoothness": 0.5, "piping_detail": 0.5, "minutes": 3.0}
VERBAL = {
    "sweetness": ("Less sweet", "As sweet", "Sweeter"),
    "softens": ("Softens earlier", "Softens at the same warmth", "Stands more heat"),
    "smoothness": ("Less smooth", "As smooth", "Smoother"),
    "piping_detail": ("Pipes less crisply", "Pipes as well", "Pipes more crisply"),
    "minutes": ("Less work", "As much work", "More work"),
}

blueprint = Blueprint("substitutes", __name__)


@dataclass(frozen=True, slots=True)
class ShownEffect:
    """One change as the page says it: a word, the numbers, and where they come from."""

    word: str
    likely: str
    before: str
    after: str
    effect: Effect


def asked_shape(pairs: Iterable[Pair]) -> dict[str, Any]:
    """Give the JSON shape of what an address asks; whatever is not ours is of the brief that is carried along."""
    pairs = [*pairs]
    named = [text.strip() for name, text in pairs if name == "formulation"]
    shape: dict[str, Any] = {
        "avoid": [*dict.fromkeys(text for name, text in pairs if name == "avoid" and text.strip())]
    }
    if any(named):
        shape["formulation"] = named[0]
    if carried := carried_pairs(pairs):
        shape["brief"] = brief_shape(in_metric(carried))
    return shape


def carried_pairs(pairs: Iterable[Pair]) -> list[Pair]:
    return [pair for pair in pairs if pair[0] not in OWN_FIELDS]


def written(body: str | bytes) -> SubstitutesOut:
    """Answer a program's question."""
    return write_substitutes(*answer(read_request(body), current_service(), dt.date.today()))


def catalogue_with(carried: Iterable[Pair]) -> Catalogue:
    """Return what is known, with the own formulas of a carried brief where it can be understood."""
    try:
        return current_service().entering(brief_of(carried)).catalogue
    except BriefError:
        return current_catalogue()


@blueprint.get(PAGE)
@may("staff")
def show() -> Response:
    pairs = [*request.args.items(multi=True)]
    pairs = _wished(pairs)
    shape = asked_shape(pairs)
    if "formulation" not in shape:
        return _page(pairs, pairs)
    try:
        asked = read_request(json.dumps(shape))
        found, catalogue = answer(asked, current_service(), dt.date.today())
    except BriefError as refused:
        return _page(pairs, pairs, problems=[_shown(problem) for problem in refused.problems], status=422)
    return _page(pairs, pairs, found, asked.brief, catalogue)


def _wished(pairs: list[Pair]) -> list[Pair]:
    """Tick what the carried brief asks for already."""
    if any(name == "avoid" for name, _ in pairs):
        return pairs
    return pairs + [("avoid", text) for name, text in pairs if name == "diet" and text in AVOIDABLE]


def _page(
    pairs: list[Pair],
    entered: list[Pair],
    found: Substitutes | None = None,
    brief: Brief | None = None,
    catalogue: Catalogue | None = None,
    problems: Iterable[Shown] = (),
    status: int = 200,
) -> Response:
    measures, problems = reader_measures(), [*problems]
    catalogue = catalogue or catalogue_with(carried_pairs(pairs))
    carried = carried_pairs(pairs)
    page = render_template(
        "substitutes.html",
        form=_form(catalogue)(MultiDict(entered)),
        carried=carried,
        brief_address=f"/?{urlencode(carried)}" if carried else "",
        errors={problem.element: problem.text for problem in problems},
        problems=problems,
        found=found,
        brief=brief,
        citations=titles_of(catalogue),
        cautions=cautions_for(found, catalogue) if found else [],
        told=Teller(measures, brief, found, catalogue) if found else None,
        fidelities=FIDELITIES,
    )
    return make_response(page, status)


@dataclass(frozen=True, slots=True)
class Teller:
    """Puts what was found into words and addresses for one reader."""

    measures: Measures
    brief: Brief | None
    found: Substitutes
    catalogue: Catalogue

    def avoided(self, wishes: Iterable[Avoided]) -> str:
        return ", ".join(AVOIDED[wish].partition(" (")[0].lower() for wish in wishes)

    def offence(self, offence: Offence) -> str:
        return f"{offence.ingredient.name}: {self.avoided(offence.avoided)}"

    def to_go(self, offence: Offence) -> str:
        """Name what has to go, and why where more than one thing is asked for."""
        return offence.ingredient.name if len(self.found.avoid) == 1 else self.offence(offence)

    def _name(self, ingredient: str) -> str:
        return plain_name(self.catalogue.ingredients[ingredient])

    def title(self, way: Way) -> str:
        """Say what takes the place of what."""
        swaps = [each.swap for each in way.swaps]
        return " and ".join(f"{self._name(swap.with_)} in place of {self._name(swap.replaces)}" for swap in swaps)

    def swaps(self, way: Way) -> list[str]:
        return [
            f"{self.grams(each.in_g)} {self._name(each.swap.with_)} in place of "
            f"{self.grams(each.out_g)} {self._name(each.swap.replaces)} "
            f"({_ratio(each.ratio)}){self._with_water(each.water_g, each.out_g)}."
            for each in way.swaps
        ]

    def _with_water(self, water_g: float, out_g: float) -> str:
        if abs(water_g) < LEAST_WATER * out_g:
            return ""
        grams = self.grams(abs(water_g))
        return f", and {grams} of water with it" if water_g > 0 else f", and {grams} less of other water"

    def lost(self, near: Nearby) -> str:
        """Name the fats that need not go and are gone all the same."""
        return " and ".join(sorted(self._name(id_) for id_ in near.lost))

    def grams(self, grams: float) -> str:
        beside = self.measures.is_customary("mass") and grams >= LEAST_IN_OUNCES_G
        return f"{grams:.{0 if grams >= 10 else 1}f} g{f' ({ounces(grams)})' if beside else ''}"

    def effects(self, effects: Iterable[Effect]) -> list[ShownEffect]:
        return [
            ShownEffect(
                _word(effect),
                _likely(effect, self.measures),
                _range(effect, effect.before.low, effect.before.likely, effect.before.high, self.measures),
                _range(effect, effect.after.low, effect.after.likely, effect.after.high, self.measures),
                effect,
            )
            for effect in effects
        ]

    def fit(self, fit: Fit) -> str:
        """Say how it does in both places of the cake."""
        return f"{_outside(fit)} {self._between(fit)}"

    def _between(self, fit: Fit) -> str:
        if not fit.may_fill:
            return "A limit of this brief bars it from between the layers."
        margin = fit.filling_margin
        if margin.likely < 0:
            return "Between the layers it gets warm enough to creep."
        if margin.low < 0:
            too_warm, spare = self.measures.warming(-margin.low), self.measures.warming(margin.high)
            return f"Between the layers it is in doubt: from {too_warm} too warm to {spare} to spare."
        below = self.measures.warmings(margin.low, margin.high)
        return f"Between the layers it stays {below} below where it would creep."

    def race(self, way: Way) -> str:
        """Write the address of the advice in which the new formula competes with all others."""
        return address_of(self._brief_with(way))

    def plan_between(self, way: Way) -> str:
        """Write the address of the kitchen plan with it as the filling, where it may be that; else nothing."""
        if way.fit is None or not way.fit.may_fill:
            return ""
        brief = self._brief_with(way)
        filling = f"{PREFIX}{len(brief.own_formulas)}" if way.swaps else way.formulation.id
        return with_options(address_of(brief, "/plan"), [("filling", filling)])

    def _brief_with(self, way: Way) -> Brief:
        own = own_formula(way, self.catalogue) if way.swaps else None
        return _brief_with(self.brief or Brief(), self.found.avoid, own)


def _outside(fit: Fit) -> str:
    if not fit.may_coat:
        return "A limit of this brief bars it from the outside."
    holds = {"holds": "it holds", "marginal": "it is in doubt", "fails": "it does not hold"}[fit.hold_class]
    return f"Outside at this event {holds}: chance of holding {chance(fit.chance)}."


def _brief_with(brief: Brief, avoid: Iterable[Avoided], own: OwnFormula | None) -> Brief:
    """Add what is avoided, as far as a brief can ask for it, and one more formula of its owner's own."""
    fields = {name: getattr(brief, name) for name in brief.model_fields_set}
    diet = {*brief.diet, *(wish for wish in avoid if wish in CHOICES["diet"])}
    if diet:
        fields["diet"] = tuple(sorted(diet))
    if own is not None:
        others = [each for each in brief.own_formulas if each.name.casefold() != own.name.casefold()]
        fields["own_formulas"] = (*others[-MOST_OWN + 1 :], own)  # the newest are kept
    return Brief.model_validate(fields)


def _ratio(ratio: float) -> str:
    return "gram for gram" if round(ratio, 2) == 1 else f"{ratio:.2f} g for each gram"


def _word(effect: Effect) -> str:
    change = effect.after.likely - effect.before.likely
    less, same, more = VERBAL[effect.name]
    if abs(change) < NOTICED[effect.name]:
        return same
    return less if change < 0 else more


def _likely(effect: Effect, measures: Measures) -> str:
    before, after = (_range(effect, n.likely, n.likely, n.likely, measures) for n in (effect.before, effect.after))
    return f"({after})" if before == after else f"({before} → {after})"


def _range(effect: Effect, low: float, likely: float, high: float, measures: Measures) -> str:
    if effect.unit != "C":
        low, likely, high = (round(number, 1 if effect.unit == "feel" else 0) for number in (low, likely, high))
    fact = Fact("", effect.name, likely, low, high, effect.unit, effect.basis, "", "", dt.date.min)
    return fact_range(fact, measures)


def _form(catalogue: Catalogue) -> type[Form]:
    formulas = [SelectChoice(each.id, each.name) for each in catalogue.formulations.values()]
    wishes = [SelectChoice(wish, AVOIDED[wish]) for wish in AVOIDABLE]
    fields = {
        "formulation": SelectField("Which buttercream?", choices=formulas, validate_choice=False),
        "avoid": CheckboxesField("What must it be free of?", choices=wishes, validate_choice=False),
    }
    return type("SubstitutesForm", (Form,), fields)


def _shown(problem: FieldProblem) -> Shown:
    head = problem.field.partition(".")[0]
    if head == "formulation":
        return Shown(problem.field, "formulation", "Choose the buttercream from the list.")
    if head == "avoid":
        return Shown(problem.field, "avoid", "Tick at least one thing that it must be free of.")
    noun = field_noun(problem.field.removeprefix("brief."))
    return Shown(problem.field, "carried", f"{noun}: {problem.problem}. What fits: {problem.allowed}.")


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
