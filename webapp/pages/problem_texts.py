"""What a bad field says to the person at the form: built from the field's noun, telling what to enter."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from webapp.advice.brief import Brief, Tier
from webapp.errors import FieldProblem
from webapp.pages.brief_address import brief_shape, in_metric
from webapp.pages.brief_fields import ASKED, ASKED_OF_OWN, CRITERIA, WHOLE, bounds_of
from webapp.pages.formatters import capital, tidy
from webapp.pages.quantities import QUANTITY_OF, name_in
from webapp.units import Measures

_FORMATS = {
    "date": "a date as year-month-day, such as 2026-06-20",
    "start": "a time as hours:minutes, such as 15:00",
    "timezone": "a name such as Europe/Rome",
}
_DIGITS = re.compile(r"-?[0-9]+(\.[0-9]+)?")


@dataclass(frozen=True, slots=True)
class Shown:
    """One problem as the page shows it: the element to go to, and the sentence."""

    field: str
    element: str
    text: str


def shown_problems(
    problems: Iterable[FieldProblem], pairs: Iterable[tuple[str, str]], measures: Measures
) -> list[Shown]:
    """Word every problem of a refused form."""
    entered = brief_shape(in_metric(pairs))
    return [_shown(problem, _at(entered, problem.field), measures) for problem in problems]


def _shown(problem: FieldProblem, entered: Any, measures: Measures) -> Shown:
    head, _, leaf = problem.field.rpartition(".")
    if leaf.isdecimal():
        leaf = head
    if head == "importance" and leaf in CRITERIA:
        noun = f"the importance of “{CRITERIA[leaf].lower()}”"
        return Shown(problem.field, f"importance-{leaf}", _number_text(noun, "importance", measures))
    if problem.field.startswith("own_formulas."):
        return Shown(problem.field, "own_formulas", _own_text(problem))
    if leaf not in (Tier if head.startswith("tiers.") else Brief).model_fields:
        text = f"“{problem.field}” cannot be used: {problem.problem}."
        return Shown(problem.field, "brief", text)
    return Shown(problem.field, _element(head, leaf, measures), _text(problem, leaf, entered, measures))


def _own_text(problem: FieldProblem) -> str:
    """Say what is wrong with an own formula; its lines quote themselves."""
    field = problem.field.split(".")
    noun = ASKED_OF_OWN[field[2]].noun if len(field) == 3 and field[2] in ASKED_OF_OWN else ""
    said = f"{noun}: {problem.problem}" if noun else problem.problem
    return f"Your own formula {int(field[1]) + 1}: {said}. What fits: {problem.allowed}."


def _element(head: str, leaf: str, measures: Measures) -> str:
    if leaf == "weather":
        return leaf
    own = name_in(measures, leaf)
    return f"{head.replace('.', '-')}-{own}" if head.startswith("tiers.") else own


def _text(problem: FieldProblem, leaf: str, entered: Any, measures: Measures) -> str:
    asked = ASKED[leaf]
    noun = asked.noun + _which_tier(problem.field)
    if asked.kind == "number" and not _is_usable(leaf, entered) and problem.problem != "is missing":
        return _number_text(noun, leaf, measures)
    if leaf in _FORMATS:
        return f"Enter {noun} as {_FORMATS[leaf]}."
    if asked.kind in ("choice", "yes-no"):
        return f"Choose {noun} from the list."
    return f"{capital(noun)}: {problem.problem}. What fits: {_in_words(problem.allowed, leaf, measures)}."


def _number_text(noun: str, field: str, measures: Measures) -> str:
    low, high = bounds_of(field)
    unit = ""
    if field in QUANTITY_OF:
        low, high = QUANTITY_OF[field].bounds(low, high, measures)
        unit = f" {QUANTITY_OF[field].unit(measures)}"
    kind = "a whole number" if field in WHOLE else "a number"
    return f"Enter {noun} as {kind} from {tidy(low)} to {tidy(high)}{unit}."


def _is_usable(field: str, entered: Any) -> bool:
    if isinstance(entered, bool) or not isinstance(entered, int | float):
        return False
    low, high = bounds_of(field)
    return low <= entered <= high and (field not in WHOLE or isinstance(entered, int))


def _which_tier(path: str) -> str:
    row = re.match(r"tiers\.([0-9]+)\.", path)
    return f" of tier {int(row[1]) + 1}" if row else ""


def _in_words(allowed: str, field: str, measures: Measures) -> str:
    """Rewrite the numbers of what is allowed in the reader's units."""
    quantity = QUANTITY_OF.get(field)
    if quantity is None:
        return allowed

    def rewritten(match: re.Match[str]) -> str:
        return f"{tidy(quantity.show(float(match[0]), measures))} {quantity.unit(measures)}"

    return _DIGITS.sub(rewritten, allowed)


def _at(shape: Any, path: str) -> Any:
    for part in path.split("."):
        if isinstance(shape, Mapping):
            shape = shape.get(part)
        elif isinstance(shape, list) and part.isdecimal() and int(part) < len(shape):
            shape = shape[int(part)]
        else:
            return None
    return shape
