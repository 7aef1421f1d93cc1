"""A decorator's own recipe: typed as it is written, shown as it is understood, and put into a brief."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, Flask, make_response, render_template, request
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response
from wtforms import Form, SelectChoice, SelectField, StringField, TextAreaField  # type: ignore[import-untyped]

from webapp.advice.brief import MOST_OWN, OwnFormula, read_brief
from webapp.advice.cautions import cautions_named
from webapp.advice.own_figures import Figures, figures_of
from webapp.advice.own_formulas import LineProblemError, OwnRecipe, understand
from webapp.catalogue.model import Catalogue
from webapp.errors import BriefError, FieldProblem
from webapp.pages.advisor import current_catalogue
from webapp.pages.brief_address import Pair, address_of, brief_of, brief_shape, in_metric, own_pairs
from webapp.pages.brief_fields import ASKED_OF_OWN, CHOICES
from webapp.pages.families import composition_rows, titles_of
from webapp.pages.formatters import capital, tidy, words
from webapp.pages.formula_links import OWN_PAGE
from webapp.pages.guard import may
from webapp.pages.household import cups, cups_between
from webapp.pages.problem_texts import Shown
from webapp.pages.shop_advice import current_service
from webapp.pages.units_switch import reader_measures
from webapp.units import UK, Measures

FIELDS = tuple(OwnFormula.model_fields)
CHOICE = "choice-"
CAUTIONS = ("allergens", "label-check")
EXAMPLE = "4 cups {sugar}\n1/2 cup butter, softened\n2 tbsp milk\n1 tsp vanilla\na pinch of salt"

# In the place of a field that cannot be read, so that the lines are read with it; nothing is made of such a recipe.
STANDS_IN = {"name": "Unnamed", "family": "american", "egg_treatment": "none"}

blueprint = Blueprint("own_formula", __name__)


@dataclass(frozen=True, slots=True)
class Option:
    """One ingredient that a line may mean; its value says of which line, so that a changed line is asked anew."""

    value: str
    label: str


@dataclass(frozen=True, slots=True)
class Choosing:
    """A line whose ingredient is to be chosen."""

    name: str
    text: str
    problem: str
    is_known: bool
    options: list[Option]


@blueprint.get(OWN_PAGE)
@may("staff")
def own_formula() -> Response:
    pairs = list(request.args.items(multi=True))
    carried = [pair for pair in pairs if not _is_own(pair[0])]
    typed = _typed(pairs)
    page: dict[str, Any] = {"carried": carried, "problems": [], "errors": {}, "choosing": [], "recipe": None}
    if typed:
        page |= _answered(typed, carried)
    form = _form_class()(MultiDict(page.pop("shown", typed)))
    sugar = powdered_sugar(reader_measures())
    form_page = render_template(
        "own_formula.html",
        form=form,
        example=EXAMPLE.format(sugar=sugar),
        powdered_sugar=sugar,
        citations=titles_of(current_catalogue()),
        tell=Teller(),
        cautions=cautions_named(CAUTIONS, current_catalogue()),
        **page,
    )
    return make_response(form_page, 422 if page["problems"] else 200)


def powdered_sugar(measures: Measures) -> str:
    """Name it as the reader's shops do; either is understood."""
    return "icing sugar" if measures == UK else "powdered sugar"


def _is_own(name: str) -> bool:
    return name in FIELDS or name.startswith(CHOICE) or name in ("units", "change")


def _typed(pairs: list[Pair]) -> dict[str, str]:
    """Give what was typed, its lines with the choices that were made for them."""
    typed = {name: text for name, text in pairs if name in FIELDS}
    if not any(text.strip() for text in typed.values()):
        return {}
    lines = typed.get("lines", "").splitlines()
    for name, value in pairs:
        row, (id_, _, text) = name.removeprefix(CHOICE), value.partition(" ")
        ingredient = current_catalogue().ingredients.get(id_)
        places = {str(place): place for place in range(len(lines))} if name.startswith(CHOICE) else {}
        if row in places and ingredient is not None and lines[places[row]].strip() == text:
            lines[places[row]] = f"{text} [{ingredient.name.lower()}]"
    return typed | {"lines": "\n".join(lines)}


def _answered(typed: dict[str, str], carried: list[Pair]) -> dict[str, Any]:
    lines = [line.strip() for line in typed["lines"].splitlines()]
    kept = [place for place, line in enumerate(lines) if line]
    shape = {name: text.strip() for name, text in typed.items() if text.strip()}
    own, refused = _read_what_can_be(shape | {"lines": [lines[place] for place in kept]})
    if own is None:
        return {"shown": typed, "problems": refused, "errors": _errors(refused)}
    catalogue = current_catalogue()
    recipe = understand(own, catalogue)
    choosing = list(_choosing(recipe, kept, catalogue))
    problems = [*refused, *_line_problems(recipe, choosing, kept)]
    if all(problem.element == "name" for problem in refused):
        problems += _misfit_problems(recipe)
    problems.sort(key=lambda problem: FIELDS.index(problem.element) if problem.element in FIELDS else len(FIELDS))
    answer = {"shown": typed, "recipe": recipe, "choosing": choosing, "problems": problems, "errors": _errors(problems)}
    return answer | (_made(own, recipe, carried) if recipe.formulation and not problems else {})


def _read_what_can_be(shape: dict[str, Any]) -> tuple[OwnFormula | None, list[Shown]]:
    """Read the recipe and what is wrong with its fields; the lines are read all the same where they can be."""
    try:
        return _read(shape), []
    except BriefError as refused:
        problems = [_shown(problem) for problem in refused.problems]
    wrong = {problem.element for problem in problems}
    try:
        return _read(shape | {name: text for name, text in STANDS_IN.items() if name in wrong}), problems
    except BriefError:
        return None, problems


def _read(shape: dict[str, Any]) -> OwnFormula:
    """Read the recipe as the brief reads it, so that page and API never differ."""
    return read_brief(json.dumps({"own_formulas": [shape]})).own_formulas[0]


def _shown(problem: FieldProblem) -> Shown:
    leaf = next((part for part in problem.field.split(".") if part in FIELDS), "lines")
    noun = capital(ASKED_OF_OWN[leaf].noun)
    if problem.problem == "is missing":
        return Shown(problem.field, leaf, f"{noun} is missing. Enter {problem.allowed}.")
    return Shown(problem.field, leaf, f"{noun}: {problem.problem}. What fits: {problem.allowed}.")


def _errors(problems: list[Shown]) -> dict[str, str]:
    errors: dict[str, str] = {}
    for problem in problems:
        errors[problem.element] = (
            f"{errors[problem.element]} {problem.text}" if problem.element in errors else problem.text
        )
    return errors


def _choosing(recipe: OwnRecipe, kept: list[int], catalogue: Catalogue) -> Iterator[Choosing]:
    for place, line in recipe.problems:
        if line.options and line.kind in ("ambiguous", "unknown") and "[" not in line.text:
            name = f"{CHOICE}{kept[place]}"
            options = [Option(f"{id_} {line.text}", catalogue.ingredients[id_].name) for id_ in line.options]
            yield Choosing(name, line.text, capital(line.problem), line.kind == "ambiguous", options)


def _line_problems(recipe: OwnRecipe, choosing: list[Choosing], kept: list[int]) -> Iterator[Shown]:
    asked = {choice.name for choice in choosing}
    for place, line in recipe.problems:
        name = f"{CHOICE}{kept[place]}"
        yield Shown("lines", name if name in asked else "lines", _said(line, name in asked))


def _said(line: LineProblemError, is_asked: bool) -> str:
    if not is_asked:
        ways = f"What fits: {line.allowed}."
    elif line.kind == "ambiguous":
        ways = "Choose below which it is."
    else:
        ways = "If it is the same as one of those below, choose that; else take the line out."
    return f"“{line.text}”: {line.problem}. {ways}"


def _misfit_problems(recipe: OwnRecipe) -> Iterator[Shown]:
    for misfit in recipe.misfits:
        yield Shown(misfit.part, misfit.part, f"{capital(misfit.problem)}. What fits: {misfit.allowed}.")


def _made(own: OwnFormula, recipe: OwnRecipe, carried: list[Pair]) -> dict[str, Any]:
    made = recipe.formulation
    assert made is not None
    brief = with_own_formula(carried, own)
    figures = figures_of(made, current_service())
    return {
        "made": made,
        "figures": figures,
        "composition": composition_rows(figures.composition),
        "brief_address": None if brief is None else f"/?{urlencode(brief)}",
        "advice_address": _advice_address(brief) if brief and carried else None,
    }


def _advice_address(pairs: list[Pair]) -> str | None:
    """Write the address of the advice; none where the brief that was carried along cannot be advised on yet."""
    try:
        return address_of(brief_of(pairs))
    except BriefError:
        return None


def with_own_formula(pairs: list[Pair], own: OwnFormula) -> list[Pair] | None:
    """Add an own formula to a brief, in the place of one of the same name; none where the brief is full."""
    others = [row for row in _own_rows(pairs) if str(row.get("name", "")).casefold() != own.name.casefold()]
    if len(others) >= MOST_OWN:
        return None
    rest = [pair for pair in pairs if not pair[0].startswith("own_formulas")]
    rows = [*others, own.model_dump(mode="json")]
    return [*rest, *(pair for place, row in enumerate(rows) for pair in own_pairs(place, row))]


def _own_rows(pairs: list[Pair]) -> list[dict[str, Any]]:
    rows = brief_shape(in_metric(pairs)).get("own_formulas", [])
    return [row for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []


def _form_class() -> type[Form]:
    fields: dict[str, Any] = {
        "name": StringField(ASKED_OF_OWN["name"].label),
        "lines": TextAreaField(ASKED_OF_OWN["lines"].label),
    }
    for name in ("family", "egg_treatment"):
        choices = [SelectChoice(value, _in_a_menu(name, text)) for value, text in CHOICES[name].items()]
        fields[name] = SelectField(ASKED_OF_OWN[name].label, choices=choices, validate_choice=False)
    return type("OwnFormulaForm", (Form,), fields)


def _in_a_menu(field: str, text: str) -> str:
    """Name a family alone: what it is stands beside the menu, which a phone would cut off."""
    return text.partition(":")[0] if field == "family" else text


class Teller:
    """Puts the figures of a formula into words."""

    def families(self) -> str:
        """Say how each family is made."""
        return "; ".join(CHOICES["family"].values())

    def softening(self, figures: Figures, measures: Measures) -> str:
        ends = measures.temperatures(figures.softens.low, figures.softens.high)
        return f"{measures.temperature(figures.softens.likely)} ({ends})"

    def slumping(self, figures: Figures, measures: Measures) -> str:
        ends = measures.temperatures(figures.slumps.low, figures.slumps.high)
        return f"{measures.temperature(figures.slumps.likely)} ({ends})"

    def density(self, figures: Figures) -> str:
        fact = figures.density
        return f"{tidy(fact.value)} ({tidy(fact.low)} to {tidy(fact.high)}) g/mL"

    def volume(self, figures: Figures, measures: Measures) -> str:
        made = figures.batch_ml
        if measures.is_customary("mass"):
            return f"{cups(made.likely)} ({cups_between(made.low, made.high)})"
        low, likely, high = (round(ml, -1) for ml in (made.low, made.likely, made.high))
        return f"{likely:.0f} mL ({low:.0f} to {high:.0f})"

    def activity(self, figures: Figures) -> str:
        water = figures.water.activity
        return f"{tidy(water.likely)} ({tidy(water.low)} to {tidy(water.high)})"

    def cost(self, figures: Figures) -> str:
        return f"{figures.cost:.1f}"

    def grams(self, grams: float) -> str:
        return f"{tidy(grams) if grams < 10 else f'{grams:.0f}'} g"

    def stage(self, stage: str) -> str:
        return words(stage)


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
