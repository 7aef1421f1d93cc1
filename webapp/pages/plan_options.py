"""The options of a kitchen plan as an address and as a form; judging is left to the options themselves."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any, get_args
from urllib.parse import urlencode

from werkzeug.datastructures import MultiDict
from wtforms import Form, SelectChoice, SelectField, StringField  # type: ignore[import-untyped]

from webapp.advice.kitchen_plan import Pack
from webapp.advice.plan_options import Currency, PlanOptions, read_options
from webapp.catalogue.model import Catalogue
from webapp.errors import FieldProblem
from webapp.pages.brief_address import Pair, number, plain
from webapp.pages.formatters import capital
from webapp.pages.problem_texts import Shown

NAMES = frozenset(PlanOptions.model_fields)
TEXTS = frozenset({"coat", "filling", "rosettes", "swirl", "egg_size", "slice", "currency", "work_from", "work_to"})
# What the table of prices sends: two entries for each ingredient, which become one ``price``.
PACK, COST = "pack-", "cost-"
NOUNS = {
    "coat": "the coat",
    "filling": "the filling",
    "allowance_pct": "the allowance",
    "filling_mm": "the thickness of each filling",
    "crumb_mm": "the crumb coat",
    "bowl_l": "the mixer's bowl",
    "rosettes": "where the rosettes are",
    "swirl": "the swirl",
    "egg_size": "the size of the eggs",
    "slice": "the size of a slice",
    "guests": "the number of guests",
    "currency": "the currency",
    "price": "a price",
    "work_from": "when work begins",
    "work_to": "when work ends",
    "fridge_tiers": "the tiers that the fridge takes",
    "days_ahead": "the days before",
}
CHOICES = {
    "rosettes": {"side": "All over the side, and the top edge", "edge": "Along the top edge alone"},
    "swirl": {"low": "Low, about 20 mm", "medium": "Medium, about 30 mm", "tall": "Tall, about 40 mm"},
    "egg_size": {
        "small": "Small",
        "medium": "Medium",
        "large": "Large",
        "extra-large": "Extra large",
        "jumbo": "Jumbo",
    },
    "slice": {"wedding": "Wedding: 2.5 × 5 × 10 cm (1 × 2 × 4 in)", "party": "Party: 4 × 5 × 10 cm (1½ × 2 × 4 in)"},
    "currency": {code: code for code in get_args(Currency)},
}
ENTRIES = {
    "guests": "Guests",
    "allowance_pct": "Allowance for bowl, bags and trimming (%)",
    "filling_mm": "Each filling (mm; 6 is 1/4 in)",
    "crumb_mm": "Crumb coat, part of the coat (mm; 1.6 is 1/16 in)",
    "bowl_l": "The mixer’s bowl (L; 4.7 is 5 qt)",
    "work_from": "Work begins at",
    "work_to": "Work ends at",
    "fridge_tiers": "Tiers that fit in the fridge",
    "days_ahead": "Days before on which work may begin",
}


def apart(pairs: Iterable[Pair], usual: Mapping[str, Pack]) -> tuple[list[Pair], list[Pair]]:
    """Part an address into what it says of the brief and of the plan; prices that are usual anyway are dropped."""
    brief, options = list[Pair](), list[Pair]()
    for name, text in pairs:
        if name in NAMES or name.startswith((PACK, COST)):
            options.append((name, text.strip()))
        elif name != "units":
            brief.append((name, text))
    return brief, [pair for pair in _with_prices(options, usual) if pair[1]]


def _with_prices(pairs: list[Pair], usual: Mapping[str, Pack]) -> list[Pair]:
    """Put a pack and its cost of the price table together; what a row leaves empty is as usual."""
    entered = {name: text for name, text in pairs if name.startswith((PACK, COST))}
    ids = dict.fromkeys(name.partition("-")[2] for name in entered)
    priced = {("price", text) for name, text in pairs if name == "price" and text.partition(":")[0] in ids}
    kept = [pair for pair in pairs if pair[0] not in entered and pair not in priced]
    asked = [f"{id_}:{_row(id_, entered, usual)}" for id_ in ids]
    return kept + [("price", text) for text in asked if text not in {_usual(id_, usual) for id_ in ids}]


def _row(id_: str, entered: Mapping[str, str], usual: Mapping[str, Pack]) -> str:
    pack = usual.get(id_)
    holds = entered.get(PACK + id_, "") or (plain(pack.holds) if pack else "")
    cost = entered.get(COST + id_, "") or (plain(pack.price) if pack else "")
    return f"{_plain(holds)}:{_plain(cost)}"


def _usual(id_: str, usual: Mapping[str, Pack]) -> str:
    pack = usual.get(id_)
    return "" if pack is None else f"{id_}:{plain(pack.holds)}:{plain(pack.price)}"


def _plain(text: str) -> str:
    value = number(text)
    return text if value is None else plain(value)


def options_of(pairs: Iterable[Pair]) -> PlanOptions:
    """Read the options of an address.

    Raises
    ------
    BriefError
        With a problem for each option that cannot be used.
    """
    shape: dict[str, Any] = {}
    for name, text in pairs:
        if name == "price":
            shape.setdefault("price", []).append(text)
        else:
            value = None if name in TEXTS else number(text)
            shape[name] = text if value is None else value
    return read_options(json.dumps(shape))


def with_options(address: str, pairs: Iterable[Pair]) -> str:
    """Write an address with the options behind its brief."""
    query = urlencode(list(pairs))
    if not query:
        return address
    return f"{address}{'&' if '?' in address else '?'}{query}"


def shown(problems: Iterable[FieldProblem]) -> list[Shown]:
    """Word what is wrong with the options."""
    return [_shown(problem) for problem in problems]


def _shown(problem: FieldProblem) -> Shown:
    name = problem.field.partition(".")[0]
    noun = NOUNS.get(name, f"“{problem.field}”")
    text = f"{capital(noun)}: {problem.problem}. What fits: {problem.allowed}."
    return Shown(problem.field, name if name in NOUNS and name != "price" else "plan-options", text)


def options_form(
    catalogue: Catalogue, pairs: Iterable[Pair], advised: tuple[str, str], currency: Currency | None = None
) -> Form:
    """Make the form with what the address says."""
    usual = PlanOptions()
    fields: dict[str, Any] = {name: StringField(label) for name, label in ENTRIES.items()}
    chosen = {"rosettes": "Rosettes", "swirl": "Swirl on cupcakes", "egg_size": "Eggs", "slice": "Slices"}
    for name, label in chosen.items():
        unsaid = CHOICES[name][getattr(usual, name)].partition(":")[0].partition(",")[0].lower()
        fields[name] = _choice(label, f"Not said ({unsaid})", CHOICES[name])
    fields["currency"] = _choice("Currency", f"Not said ({currency or usual.currency})", CHOICES["currency"])
    names = {id_: formulation.name for id_, formulation in catalogue.formulations.items()}
    for name, label, id_ in zip(("coat", "filling"), ("Coat", "Filling"), advised, strict=True):
        fields[name] = _choice(label, f"As advised ({names.get(id_, id_)})", names)
    return type("PlanForm", (Form,), fields)(MultiDict(list(pairs)))


def _choice(label: str, unsaid: str, options: dict[str, str]) -> SelectField:
    choices = [SelectChoice("", unsaid), *(SelectChoice(value, text) for value, text in options.items())]
    return SelectField(label, choices=choices, validate_choice=False)
