"""The ingredient and allergen card of a pairing, with the sponge left to whoever bakes it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

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
from webapp.advice.contract import CautionOut
from webapp.advice.label import LAWS, Card, Component, Law, OwnSponge, listed_by, make_card
from webapp.catalogue.model import Catalogue, Formulation
from webapp.errors import BriefError
from webapp.pages.advisor import current_catalogue
from webapp.pages.brief_address import Pair, address_of, brief_of, number
from webapp.pages.brief_form import CheckboxesField
from webapp.pages.families import titles_of
from webapp.pages.formatters import words
from webapp.pages.guard import may
from webapp.pages.problem_texts import Shown, shown_problems
from webapp.pages.substitutes import current_service
from webapp.pages.units_switch import reader_measures

PAGE = "/label"
FIELDS = ("coat", "filling", "law", "sponge_list", "sponge_allergens", "handled", "slice_g")
OWN_FIELDS = frozenset({*FIELDS, "units"})
MOST_LINES, LONGEST_LINE = 60, 80
LEAST_SLICE_G, MOST_SLICE_G = 10, 1000
LAW_NAMES: Mapping[Law, str] = {"us": "The nine that US law names", "eu": "The fourteen that EU and UK law name"}
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
    own, carried = _of_card(pairs), [pair for pair in pairs if pair[0] not in OWN_FIELDS]
    catalogue, measures = current_catalogue(), reader_measures()
    problems: list[Shown] = []
    brief = Brief()
    try:
        brief = brief_of(carried)
        catalogue = current_service().entering(brief).catalogue
    except BriefError as refused:
        found = shown_problems(refused.problems, carried, measures)
        problems += [Shown(each.field, "carried", each.text) for each in found]
    asked = _judged(own, catalogue, problems) if "coat" in own else None
    card = None
    if asked is not None and not problems:
        card = make_card(
            catalogue, brief, asked.coat, asked.filling, asked.law, asked.sponge, asked.handled, asked.slice_g
        )
    page = render_template(
        "label.html",
        form=_form(catalogue, own.get("law", "us"))(own),
        carried=carried,
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
        asked=asked,
        card=card,
        brief=brief,
        brief_address=address_of(brief, "/") if carried else "",
        citations=titles_of(catalogue),
        cautions=_cautions(catalogue),
        tell=Teller(card) if card else None,
    )
    return make_response(page, 422 if problems else 200)


def _of_card(pairs: Iterable[Pair]) -> MultiDict[str, str]:
    return MultiDict([(name, text) for name, text in pairs if name in FIELDS])


def _judged(own: MultiDict[str, str], catalogue: Catalogue, problems: list[Shown]) -> Asked | None:
    """Judge every field; what is wrong is added to the problems."""
    formulas = catalogue.formulations
    coat, filling = own.get("coat", ""), own.get("filling") or own.get("coat", "")
    law: Law | None = next((each for each in LAWS if each == own.get("law", "us")), None)
    for field, name in (("coat", coat), ("filling", filling)):
        if name not in formulas:
            problems.append(Shown(field, field, f"Choose the {field} from the list."))
    if law is None:
        problems.append(Shown("law", "law", "Choose the list of allergens."))
    lines = tuple(line.strip() for line in own.get("sponge_list", "").splitlines() if line.strip())
    problems += _line_problems(lines)
    slice_g = _slice(own.get("slice_g", ""), problems)
    codes = [code for field in ("sponge_allergens", "handled") for code in own.getlist(field) if code]
    known = {each.allergen for each in listed_by(law or "us", catalogue)}
    if law is not None and not set(codes) <= known | _other_codes(catalogue):
        problems.append(Shown("sponge_allergens", "sponge_allergens", "Choose the allergens from the list."))
    if problems or law is None:
        return None
    return Asked(
        formulas[coat],
        formulas[filling],
        law,
        OwnSponge(lines, frozenset(code for code in own.getlist("sponge_allergens") if code in known)),
        tuple(code for code in own.getlist("handled") if code in known),
        slice_g,
    )


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


def _slice(text: str, problems: list[Shown]) -> float | None:
    if not text.strip():
        return None
    value = number(text)
    if value is None or not LEAST_SLICE_G <= value <= MOST_SLICE_G:
        wanted = f"Enter the slice as a number from {LEAST_SLICE_G} to {MOST_SLICE_G} g, or leave it empty."
        problems.append(Shown("slice_g", "slice_g", wanted))
        return None
    return float(value)


def _cautions(catalogue: Catalogue) -> list[CautionOut]:
    rules = [rule for rule in catalogue.rules.values() if rule.id in CAUTIONS]
    return [CautionOut(id=rule.id, text=rule.sentence, source=rule.source) for rule in rules]


@dataclass(frozen=True, slots=True)
class Teller:
    """Puts a card into words."""

    card: Card

    def parts(self, component: Component) -> list[tuple[str, str, tuple[str, ...]]]:
        """List each ingredient as its name, what it is made of, and its allergens in the words of the law."""
        return [
            (
                each.ingredient.name.partition(" (")[0],
                ", ".join(each.parts),
                self.card.words_of(each.ingredient.allergens),
            )
            for each in component.ingredients
        ]

    def unlisted(self) -> str:
        return " and ".join(words(code) for code in self.card.unlisted)

    def numbers(self) -> list[tuple[str, str, str, str]]:
        """List what is declared: its name, in 100 g, in a slice, and in 100 g of the buttercream alone."""
        card = self.card
        trio = (card.per_100_g, card.per_slice, card.icing_per_100_g)
        energy = [f"{each.energy_kj:.0f} kJ / {each.energy_kcal:.0f} kcal" for each in trio]
        rows = [("Energy", *energy)]
        for name, of in (("Fat", "fat"), ("Carbohydrate", "carbohydrate"), ("of which sugars", "sugar")):
            rows.append((name, *(f"{getattr(each, of):.1f} g" for each in trio)))
        rows.append(("Protein", *(f"{each.protein:.1f} g" for each in trio)))
        return [(row[0], row[1], row[2], row[3]) for row in rows]


def _form(catalogue: Catalogue, law: str) -> type[Form]:
    formulas = [SelectChoice(each.id, each.name) for each in catalogue.formulations.values()]
    listed = listed_by("eu" if law == "eu" else "us", catalogue)
    allergens = [SelectChoice(each.allergen, each.words) for each in listed]
    same = [SelectChoice("", "The same as outside"), *formulas]
    fields = {
        "coat": SelectField("Buttercream outside", choices=formulas, validate_choice=False),
        "filling": SelectField("Buttercream between the layers", choices=same, validate_choice=False),
        "law": RadioField(
            "Which list of allergens?",
            choices=[SelectChoice(law, name) for law, name in LAW_NAMES.items()],
            default="us",
            validate_choice=False,
        ),
        "sponge_list": TextAreaField("Your sponge, one ingredient a line, the heaviest first"),
        "sponge_allergens": CheckboxesField("Allergens in your sponge", choices=allergens, validate_choice=False),
        "handled": CheckboxesField("What else the kitchen handles", choices=allergens, validate_choice=False),
        "slice_g": StringField("One slice", description="g"),
    }
    return type("LabelForm", (Form,), fields)


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
