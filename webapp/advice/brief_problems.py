"""What is wrong with a field of a brief, worded for whoever wrote the JSON."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from pydantic.fields import FieldInfo

from webapp.errors import FieldProblem

MOST_PROBLEMS = 20
ECHO_LENGTH = 60
TIME_FORM = "a local time such as 15:00"
DATE_FORM = "a date such as 2027-06-26"
IMPORTANCE_RANGE = (0.0, 5.0)

_MODELS = {"tiers": "a tier", "own_formulas": "an own formula"}
_NEEDED = {
    "name": "what the formula is called",
    "family": "one of american, swiss, italian, french",
    "lines": "its ingredient lines",
}

Fields = Mapping[str, FieldInfo]


def echo(value: Any) -> str:
    """Show a value as JSON writes it, cut short; what cannot be seen is shown by its code."""
    text = json.dumps(value, ensure_ascii=False)
    return _cut(text if text.isprintable() else json.dumps(value))


def _cut(text: str) -> str:
    return text if len(text) <= ECHO_LENGTH else text[: ECHO_LENGTH - 1] + "…"


def misfit(field: str, problem: str, allowed: str) -> ValueError:
    """Make the error that a validator raises, to be read back by ``problem_of``."""
    # What was typed may hold the bar that parts the three.
    return ValueError("|".join((problem.replace("|", "/"), allowed, field)))


def problem_of(detail: Mapping[str, Any], fields: Fields) -> FieldProblem:
    """Word one error of the reader of briefs; ``fields`` are those of the brief, or of a tier inside one."""
    path = [part for part in detail["loc"] if part != "[key]"]
    field = ".".join(_cut(str(part)) for part in path) or "brief"
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "value_error":
        problem, allowed, misfitting = str(context["error"]).split("|")
        return FieldProblem(misfitting, problem, allowed)
    if kind == "json_invalid":
        return FieldProblem(field, "is not valid JSON", "one JSON object with the fields of a brief")
    if kind == "extra_forbidden":
        return FieldProblem(field, "there is no such field", "one of " + ", ".join(fields))
    if kind == "missing":
        return FieldProblem(field, "is missing", _text_of(path))
    if kind == "too_short":
        return FieldProblem(field, "there are none", f"at least {context['min_length']}")
    if kind == "too_long":
        return FieldProblem(field, "there are too many", f"at most {context['max_length']}")
    if kind == "finite_number":
        return FieldProblem(field, "is not a number that can be used", _number(path, fields))
    problem, allowed = _said(kind, context, path, fields)
    return FieldProblem(field, f"{echo(detail['input'])} {problem}", allowed)


def _said(kind: str, context: Mapping[str, Any], path: list[Any], fields: Fields) -> tuple[str, str]:
    match kind:
        case "greater_than_equal":
            return "is too small", _number(path, fields)
        case "less_than_equal":
            return "is too large", _number(path, fields)
        case "float_type" | "int_type":
            return "is not " + _number(path, fields).partition(" from ")[0], _number(path, fields)
        case "literal_error":
            return "is not a choice", "one of " + context["expected"].replace("'", '"')
        case "string_too_short":
            return "is empty", "a text of at least one character"
        case "string_too_long":
            return "is too long", f"at most {context['max_length']} characters"
        case "string_type":
            return "is not a text", "a text in quotes"
        case "bool_type":
            return "is neither true nor false", "true or false"
        case "tuple_type":
            return "is not an array", "an array, such as []"
        case "dict_type":
            return "is not an object", 'an object of weights from 0 to 5, such as {"heat": 4}'
        case "model_type":
            model = _MODELS.get(str(path[0]) if path else "", "a brief")
            return "is not an object", f"one JSON object with the fields of {model}"
        case _:
            return "cannot be used", _form(path)


def _text_of(path: list[Any]) -> str:
    return _NEEDED.get(str(path[-1]), "what the document of this interface describes")


def _form(path: list[Any]) -> str:
    forms = {"start": TIME_FORM, "date": DATE_FORM}
    return forms.get(str(path[-1]) if path else "", "what the document of this interface describes")


def _number(path: list[Any], fields: Fields) -> str:
    if path[0] == "importance":
        low, high = IMPORTANCE_RANGE
        return f"a number from {low:g} to {high:g}"
    field = fields[path[-1]]
    limits = {key: getattr(rule, key) for rule in field.metadata for key in ("ge", "le") if hasattr(rule, key)}
    kind = "a whole number" if field.annotation is int else "a number"
    return f"{kind} from {limits['ge']:g} to {limits['le']:g}"
