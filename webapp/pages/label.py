"""The ingredient and allergen card of a pairing, with the sponge left to whoever bakes it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import quote

from flask import Blueprint, Flask, Response, make_response, render_template, request
from werkzeug.datastructures import MultiDict
from wtforms import (  # type: ignore[import-untyped]
    Form,
    RadioField,
    SelectChoice,
    SelectField,
    StringField,
    TextAreaField,
)

from webapp.advice.brief import Brief
from webapp.advice.cautions import cautions_named
from webapp.advice.label import (
    BONE_CHAR,
    LAWS,
    Card,
    Component,
    Law,
    OwnSponge,
    Serving,
    listed_by,
    make_card,
    named_but_unticked,
)
from webapp.advice.substitutes import pairing_against_diet
from webapp.catalogue.model import Catalogue, Fact, Formulation, Ingredient, ListedAllergen
from webapp.pages.advisor import current_advisor
from webapp.pages.brief_address import Pair, address_of, in_measures, in_metric, number
from webapp.pages.brief_form import CheckboxesField
from webapp.pages.carried_brief import read_carried
from webapp.pages.families import titles_of
from webapp.pages.formatters import capital, fact_range, words
from webapp.pages.guard import may
from webapp.pages.problem_texts import Shown
from webapp.pages.quantities import QUANTITY_OF, SLICE, US_NAME, name_in
from webapp.pages.units_switch import reader_measures
from webapp.units import Measures

PAGE = "/label"
FIELDS = ("coat", "filling", "law", "sponge_list", "sponge_allergens", "free", "handled", SLICE, US_NAME[SLICE])
PLACES = {"coat": "Buttercream outside", "filling": "Buttercream between the layers"}
KINDS = "kinds_"  # and the allergen of which the law wants the kind said
MOST_LINES, LONGEST_LINE = 60, 80
LEAST_SLICE_G, MOST_SLICE_G = 10, 1000
_MASS = QUANTITY_OF[SLICE]
LAW_NAMES: Mapping[Law, str] = {"us": "The nine that US law names", "eu": "The fourteen that EU and UK law name"}
DECLARED = {"Fat": "fat", "Carbohydrate": "carbohydrate", "of which sugars": "sugar", "Protein": "protein"}
CAUTIONS = ("allergens", "label-check", "cross-contact", "planning-help")

blueprint = Blueprint("label", __name__)


@dataclass(frozen=True, slots=True)
class Asked:
    """What the address asks of the card, judged."""

    coat: Formulation
    filling: Formulation
    law: Law
    sponge: OwnSponge
    handled: tuple[str, ...]
    slice_g: float | None


@blueprint.get(PAGE)
@may("staff")
def show() -> Response:
    pairs = [*request.args.items(multi=True)]
    typed, carried = _of_card(pairs), [pair for pair in pairs if not _is_of_card(pair[0]) and pair[0] != "units"]
    own, measures = MultiDict(in_metric(typed)), reader_measures()
    problems: list[Shown] = []
    given, catalogue = read_carried(carried, measures, problems)
    if given is not None and not own.get("coat") and not own.get("filling"):
        own = _with_advised(own, given)
    brief = given or Brief()
    asked = _judged(own, catalogue, measures, problems) if "coat" in own or "filling" in own else None
    card = None
    if asked is not None and not problems:
        card = make_card(
            catalogue, brief, asked.coat, asked.filling, asked.law, asked.sponge, asked.handled, asked.slice_g
        )
    page = render_template(
        "label.html",
        form=_form(catalogue, own, measures)(MultiDict(_on_form(own, typed, measures))),
        slice_field=name_in(measures, SLICE),
        kinds=[f"{KINDS}{each.allergen}" for each in _asking(catalogue, own)],
        carried=carried,
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
        asked=asked,
        card=card,
        against=pairing_against_diet((asked.coat, asked.filling), brief, catalogue) if asked else (),
        brief=brief,
        brief_address=address_of(brief, "/") if carried else "",
        citations=titles_of(catalogue),
        cautions=cautions_named(CAUTIONS, catalogue),
        tell=Teller(card, catalogue) if card else None,
    )
    return make_response(page, 422 if problems else 200)


def _of_card(pairs: Iterable[Pair]) -> list[Pair]:
    return [(name, text) for name, text in pairs if _is_of_card(name)]


def _on_form(own: MultiDict[str, str], typed: list[Pair], measures: Measures) -> list[Pair]:
    """Write what the card goes by as the reader's form has it: a slice in grams or ounces, as typed where it was so."""
    others = [(name, text) for name, text in own.items(multi=True) if name != SLICE]
    return [*others, *in_measures([pair for pair in typed if pair[0] in (SLICE, US_NAME[SLICE])], measures)]


def _is_of_card(name: str) -> bool:
    return name in FIELDS or name.startswith(KINDS)


def _with_advised(own: MultiDict[str, str], brief: Brief) -> MultiDict[str, str]:
    """Take the pairing that is advised on the brief, where there is one."""
    advised = current_advisor()(brief, reader_measures()).pairing
    if advised is None:
        return own
    others = [(name, text) for name, text in own.items(multi=True) if name not in ("coat", "filling")]
    return MultiDict([*others, ("coat", advised.coat.formulation), ("filling", advised.filling.formulation)])


def _law_of(own: MultiDict[str, str]) -> Law:
    return "eu" if own.get("law") == "eu" else "us"


def _asking(catalogue: Catalogue, own: MultiDict[str, str]) -> list[ListedAllergen]:
    """List the allergens ticked for the sponge of which the law wants the kind said."""
    ticked = own.getlist("sponge_allergens")
    return [each for each in listed_by(_law_of(own), catalogue) if each.asks and each.allergen in ticked]


def _lines(own: MultiDict[str, str]) -> tuple[str, ...]:
    # Spaces of every width are one: a number and its unit come back from the page with one that does not break.
    return tuple(" ".join(line.split()) for line in own.get("sponge_list", "").splitlines() if line.strip())


def _seeming(catalogue: Catalogue, own: MultiDict[str, str]) -> dict[str, tuple[str, ListedAllergen]]:
    """List the lines of the sponge that seem to name an allergen that is not ticked, by the value of their tick.

    The value holds the line, so that a changed line is asked about anew, and no space, as it ends an id.
    """
    found = named_but_unticked(_lines(own), own.getlist("sponge_allergens"), listed_by(_law_of(own), catalogue))
    return {f"{each.allergen}-{quote(line, safe='')}": (line, each) for line, each in found}


def _judged(
    own: MultiDict[str, str], catalogue: Catalogue, measures: Measures, problems: list[Shown]
) -> Asked | None:
    """Judge every field; what is wrong is added to the problems."""
    formulas = catalogue.formulations
    coat, filling = own.get("coat", ""), own.get("filling") or own.get("coat", "")
    law: Law | None = next((each for each in LAWS if each == own.get("law", "us")), None)
    for field, name in (("coat", coat), ("filling", filling)):
        is_the_same = field == "filling" and not own.get(field)  # then told of the coat alone
        if name not in formulas and not is_the_same:
            problems.append(Shown(field, field, f"Choose the {PLACES[field].lower()} from the list."))
    if law is None:
        problems.append(Shown("law", "law", "Choose the list of allergens."))
    lines = _lines(own)
    problems += _line_problems(lines)
    slice_g = _slice(own.get(SLICE, ""), measures, problems)
    codes = [code for field in ("sponge_allergens", "handled") for code in own.getlist(field) if code]
    known = {each.allergen for each in listed_by(law or "us", catalogue)}
    if law is not None and not set(codes) <= known | _other_codes(catalogue):
        problems.append(Shown("sponge_allergens", "sponge_allergens", "Choose the allergens from the list."))
    kinds = {each.allergen: _kinds(each, own, problems) for each in _asking(catalogue, own)}
    if problems or law is None:
        return None
    seeming = _seeming(catalogue, own)
    free = [seeming[value] for value in own.getlist("free") if value in seeming]
    sponge = OwnSponge(
        lines,
        frozenset(code for code in own.getlist("sponge_allergens") if code in known),
        kinds,
        frozenset((line, each.allergen) for line, each in free),
    )
    return Asked(
        formulas[coat],
        formulas[filling],
        law,
        sponge,
        tuple(code for code in own.getlist("handled") if code in known),
        slice_g,
    )


def _kinds(each: ListedAllergen, own: MultiDict[str, str], problems: list[Shown]) -> tuple[str, ...]:
    field = f"{KINDS}{each.allergen}"
    given = [" ".join(part.split()) for text in own.getlist(field) for part in text.split(",") if part.strip()]
    if each.kinds:
        known = {_code(kind): kind for kind in each.kinds}
        if not set(given) <= set(known):
            problems.append(Shown(field, field, f"Choose {each.asks} from the list."))
        return tuple(kind for code, kind in known.items() if code in given)
    said = ", ".join(given)
    if len(said) > LONGEST_LINE or not said.isprintable():
        text = f"Enter {each.asks} in at most {LONGEST_LINE} characters, with commas between."
        problems.append(Shown(field, field, text))
    return tuple(given)


def _code(kind: str) -> str:
    return kind.lower().replace(" ", "-")


def _other_codes(catalogue: Catalogue) -> set[str]:
    # The other law's, still ticked when the list was changed: they are let go of without a word of blame.
    return {each.allergen for each in catalogue.allergens.values()}


def _line_problems(lines: tuple[str, ...]) -> list[Shown]:
    if len(lines) > MOST_LINES:
        return [Shown("sponge_list", "sponge_list", f"Enter the sponge in at most {MOST_LINES} lines.")]
    if any(len(line) > LONGEST_LINE or not line.isprintable() for line in lines):
        text = f"Enter one ingredient of the sponge a line, each of at most {LONGEST_LINE} characters."
        return [Shown("sponge_list", "sponge_list", text)]
    return []


def _slice(text: str, measures: Measures, problems: list[Shown]) -> float | None:
    if not text.strip():
        return None
    value = number(text)
    if value is None or not LEAST_SLICE_G <= value <= MOST_SLICE_G:
        low, high = _MASS.bounds(LEAST_SLICE_G, MOST_SLICE_G, measures)
        wanted = f"Enter the slice as a number from {low:g} to {high:g} {_MASS.unit(measures)}, or leave it empty."
        element = name_in(measures, SLICE)
        problems.append(Shown(element, element, wanted))
        return None
    return float(value)


@dataclass(frozen=True, slots=True)
class Teller:
    """Puts a card into words."""

    card: Card
    catalogue: Catalogue

    def parts(self, component: Component) -> list[tuple[str, str, tuple[str, ...]]]:
        """List each ingredient as its name, what it is made of, and its allergens in the words of the law."""
        return [
            (
                each.ingredient.name.partition(" (")[0].lower(),
                ", ".join(each.parts),
                self.card.words_of(each.ingredient.allergens),
            )
            for each in component.ingredients
        ]

    def may_hold(self, ingredient: Ingredient) -> str:
        """Say what some makers' products hold at least traces of, in the words of the law where it has them."""
        listed = {named.allergen: named.words.lower() for named in listed_by(self.card.law, self.catalogue)}
        codes = sorted(ingredient.may_hold - {BONE_CHAR})
        return " or ".join(listed.get(code, words(code)) for code in codes)

    def unlisted(self) -> str:
        return " and ".join(words(code) for code in self.card.unlisted)

    def of_serving(self, serving: Serving, measures: Measures) -> str:
        """Write what a slice or cupcake weighs: in grams, for who weighs in ounces behind these, as typed if it was."""
        told = f"{serving.grams:.0f} g"
        if not measures.is_customary(_MASS.kind):
            return told
        is_typed = serving.grams != serving.taken_g
        ounces = f"{_MASS.show(serving.grams, measures):.3g} oz" if is_typed else measures.mass(serving.grams)
        return f"{ounces} ({told})"

    def of_sponge(self, fact: Fact, measures: Measures) -> str:
        """Write a number of the sponge to the whole unit: its recipe is the user's, so that no more is known."""
        return fact_range(replace(fact, value=round(fact.value)), measures)

    def numbers(self) -> list[tuple[str, list[str]]]:
        """List what is declared: its name, in 100 g of the buttercream and, of a cake, in 100 g and in a slice.

        What holds the sponge is told to whole grams and tens of kJ and kcal: its recipe is not known.
        """
        cake, icing = self.card.cake, self.card.icing_per_100_g
        foods = [] if cake is None else [cake.per_100_g, cake.per_slice]
        is_us = self.card.law == "us"
        energy = [_energy(icing.energy_kj, icing.energy_kcal, 0, is_us=is_us)]
        energy += [_energy(each.energy_kj, each.energy_kcal, -1, is_us=is_us) for each in foods]
        rows = [("Calories" if is_us else "Energy", energy)]
        for name, of in DECLARED.items():
            rows.append((name, [f"{getattr(icing, of):.1f} g", *(f"{getattr(each, of):.0f} g" for each in foods)]))
        return rows


def _energy(kilojoules: float, kilocalories: float, digits: int, *, is_us: bool) -> str:
    """Write an energy as the law has it: kJ and kcal, or in the United States Calories alone, which are kcal."""
    large_calories = f"{round(kilocalories, digits):.0f}"
    return large_calories if is_us else f"{round(kilojoules, digits):.0f} kJ / {large_calories} kcal"


def _form(catalogue: Catalogue, own: MultiDict[str, str], measures: Measures) -> type[Form]:
    formulas = [SelectChoice(each.id, each.name) for each in catalogue.formulations.values()]
    listed = listed_by(_law_of(own), catalogue)
    allergens = [SelectChoice(each.allergen, each.words) for each in listed]
    same = [SelectChoice("", "The same as outside"), *formulas]
    seeming = _seeming(catalogue, own).items()
    free = [SelectChoice(value, f"“{line}” holds no {each.words.lower()}") for value, (line, each) in seeming]
    fields = {
        "coat": SelectField(PLACES["coat"], choices=formulas, validate_choice=False),
        "filling": SelectField(PLACES["filling"], choices=same, validate_choice=False),
        "law": RadioField(
            "Which list of allergens?",
            choices=[SelectChoice(law, name) for law, name in LAW_NAMES.items()],
            default="us",
            validate_choice=False,
        ),
        "sponge_list": TextAreaField("Your sponge, one ingredient a line, the heaviest first"),
        "sponge_allergens": CheckboxesField("Allergens in your sponge", choices=allergens, validate_choice=False),
        "free": CheckboxesField("Named, but not ticked: which hold none of it?", choices=free, validate_choice=False),
        "handled": CheckboxesField("What else the kitchen handles", choices=allergens, validate_choice=False),
        name_in(measures, SLICE): StringField("One slice", description=_MASS.unit(measures)),
    }
    fields |= {f"{KINDS}{each.allergen}": _kinds_field(each) for each in _asking(catalogue, own)}
    return type("LabelForm", (Form,), fields)


def _kinds_field(each: ListedAllergen) -> Any:
    label = f"In your sponge: {each.asks}?"
    if not each.kinds:
        return StringField(label)
    choices = [SelectChoice(_code(kind), capital(kind)) for kind in each.kinds]
    return CheckboxesField(label, choices=choices, validate_choice=False)


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
