"""The options of a kitchen plan as an address and as a form; judging is left to the options themselves."""

from __future__ import annotations

import json
import re
from collections.abc import Container, Iterable, Mapping
from typing import Any, get_args
from urllib.parse import urlencode

from werkzeug.datastructures import MultiDict
from wtforms import Form, SelectChoice, SelectField, StringField  # type: ignore[import-untyped]

from webapp.advice.kitchen_plan import EGGS, Pack
from webapp.advice.plan_options import Currency, PlanOptions, read_options
from webapp.advice.work_plan import WorkOptions
from webapp.catalogue.model import Catalogue
from webapp.errors import FieldProblem
from webapp.pages.brief_address import Pair, in_measures, in_metric, number, plain
from webapp.pages.formatters import capital, tidy
from webapp.pages.pack_fields import COST, PACK, in_grams, pack_text
from webapp.pages.plan_words import bowl_words
from webapp.pages.problem_texts import Shown
from webapp.pages.quantities import METRIC_NAME, QUANTITY_OF, Quantity, name_in
from webapp.units import Measures

NAMES = frozenset(PlanOptions.model_fields)
TEXTS = frozenset({"coat", "filling", "rosettes", "swirl", "egg_size", "slice", "currency", "work_from", "work_to"})
CLOCKS, COUNTS = frozenset({"work_from", "work_to"}), frozenset({"guests", "fridge_tiers", "days_ahead"})
_PRICED = re.compile(r"“([a-z0-9-]+):([^:”]*):([^”]*)” is not a price")
ASSUMED_IN = "EUR"  # the currency in which the prices of ingredients.csv were thought of
# In the order of the form.
NOUNS = {
    "coat": "the coat",
    "filling": "the filling",
    "guests": "the number of guests",
    "slice": "the size of a slice",
    "rosettes": "where the rosettes are",
    "swirl": "the swirl",
    "egg_size": "the size of the eggs",
    "currency": "the currency",
    "allowance_pct": "the allowance",
    "filling_mm": "the thickness of each filling",
    "crumb_mm": "the crumb coat",
    "bowl_l": "the mixer’s bowl",
    "work_from": "when work begins",
    "work_to": "when work ends",
    "fridge_tiers": "the tiers that the fridge takes",
    "days_ahead": "the days before",
    "price": "a price",
}
CHOICES = {
    "rosettes": {"side": "Side and top edge", "edge": "Top edge alone"},
    "swirl": {"low": "Low, about 20 mm", "medium": "Medium, about 30 mm", "tall": "Tall, about 40 mm"},
    "egg_size": {
        "small": "Small",
        "medium": "Medium",
        "large": "Large",
        "extra-large": "Extra large",
        "jumbo": "Jumbo",
    },
    "slice": {"wedding": "Wedding: 2.5 × 5 × 10 cm", "party": "Party: 4 × 5 × 10 cm"},
    "currency": {code: code for code in get_args(Currency)},
}
_SLICES_IN_INCHES = {"wedding": "Wedding: 1 × 2 × 4 in", "party": "Party: 1 ½ × 2 × 4 in"}
_SWIRLS_IN_INCHES = {"low": "Low, about ¾ in", "medium": "Medium, about 1 ¼ in", "tall": "Tall, about 1 ½ in"}
ENTRIES = {
    "guests": "Guests",
    "allowance_pct": "Allowance for bowl, bags and trimming (%)",
    "filling_mm": "Each filling",
    "crumb_mm": "Crumb coat, part of the coat",
    "bowl_l": "The mixer’s bowl",
    "work_from": "Work begins at",
    "work_to": "Work ends at",
    "fridge_tiers": "Tiers that fit in the fridge",
    "days_ahead": "Earliest start (days before)",
}
# What a kitchen measures: in the address metric, on the form in the reader's units and named by them.
MEASURED = tuple(name for name in PlanOptions.model_fields if name in QUANTITY_OF)


def apart(
    pairs: Iterable[Pair], usual: Mapping[str, Pack], own: Container[str] = (), currency: str = ASSUMED_IN
) -> tuple[list[Pair], list[Pair]]:
    """Part an address into what it says of the brief and of the plan, the latter in metric units.

    What the shop pays anyway is dropped.

    ``usual`` is how everything is sold, ``own`` what of it the shop has said itself, all else is assumed; ``currency``
    is the shop's, where the address names none.
    """
    pairs = list(pairs)
    held = {id_: pack.holds for id_, pack in usual.items()} | _holding(text for name, text in pairs if name == "price")
    brief, options = list[Pair](), list[Pair]()
    for pair in pairs:
        name, text = in_grams(pair, held)
        if METRIC_NAME.get(name) in MEASURED:
            ((name, text),) = in_metric([(name, text)])
        if name in NAMES or name.startswith((PACK, COST)):
            options.append((name, _clock(text.strip()) if name in CLOCKS else text.strip()))
        elif name != "units":
            brief.append((name, text))
    return brief, [pair for pair in _with_prices(options, usual, own, currency) if pair[1]]


def _holding(prices: Iterable[str]) -> dict[str, float]:
    """Return what each pack holds that has a price in an address; what is none is told elsewhere."""
    parted = (text.split(":") for text in prices)
    return {each[0]: float(held) for each in parted if len(each) == 3 and (held := number(each[1])) is not None}


def _clock(text: str) -> str:
    """Write a time of day as ``05:30`` where it was typed as ``5:30``, ``5.30``, ``530``, ``5`` or ``5:30 am``."""
    read = re.fullmatch(r"(\d{1,2})(?:[:.h ]?(\d{2}))?\s*(?:([ap])\.?m\.?)?", text.lower())
    if not read or (read[3] and not 1 <= int(read[1]) <= 12):
        return text
    hour = int(read[1]) if not read[3] else int(read[1]) % 12 + (12 if read[3] == "p" else 0)
    return f"{hour:02}:{read[2] or '00'}"


def _with_prices(pairs: list[Pair], usual: Mapping[str, Pack], own: Container[str], currency: str) -> list[Pair]:
    """Put a pack and its cost, two entries of the price table, together as one; what a row leaves empty is as usual.

    A price that was typed in is one's own, also where it is as much as we assume.
    """
    entered = {name: text for name, text in pairs if name.startswith((PACK, COST))}
    ids = dict.fromkeys(name.partition("-")[2] for name in entered)
    currency = dict(pairs).get("currency") or currency
    # An assumed price is in euros: in another currency it cannot stand beside a pack of one's own.
    priced_in = {id_: pack for id_, pack in usual.items() if id_ in own or currency == ASSUMED_IN}
    priced = {("price", text) for name, text in pairs if name == "price" and text.partition(":")[0] in ids}
    kept = [pair for pair in pairs if pair[0] not in entered and pair not in priced]
    for id_ in ids:
        holds, cost = entered.get(PACK + id_, ""), entered.get(COST + id_, "")
        text = _price(id_, holds or _holds(usual.get(id_)), cost or _cost(priced_in.get(id_)))
        shops = _price(id_, _holds(usual[id_]), _cost(usual[id_])) if id_ in own else ""
        if (holds or cost) and text != shops:
            kept.append(("price", text))
    return kept


def _holds(pack: Pack | None) -> str:
    return plain(pack.holds) if pack else ""


def _cost(pack: Pack | None) -> str:
    return plain(pack.price) if pack else ""


def _price(id_: str, holds: str, cost: str) -> str:
    return f"{id_}:{_plain(holds)}:{_plain(cost)}"


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


def shown(problems: Iterable[FieldProblem], measures: Measures) -> list[Shown]:
    """Word what is wrong with the options, in the order of the form and in the reader's units."""
    order = [*NOUNS]
    told = [(_name(problem), _shown(problem, measures)) for problem in problems]
    return [said for _, said in sorted(told, key=lambda each: order.index(each[0]) if each[0] in NOUNS else -1)]


def _name(problem: FieldProblem) -> str:
    return problem.field.partition(".")[0]


def _shown(problem: FieldProblem, measures: Measures) -> Shown:
    name = _name(problem)
    noun = NOUNS.get(name, f"“{problem.field}”")
    wrong, fits = re.sub(r'"([^"]*)"', r"“\1”", problem.problem), problem.allowed
    if name == "price" and (row := _PRICED.fullmatch(wrong)):
        return Shown(problem.field, "plan-options", _priced(row[1], row[2], row[3], measures))
    if name in MEASURED:
        wrong, fits = _measured(QUANTITY_OF[name], wrong, fits, measures)
    elif name in COUNTS:
        wrong, fits = (said.replace(" a number", " a whole number") for said in (wrong, f" {fits}"))
    mended = f"Enter {fits.strip()}" if fits.strip().startswith(("a ", "at most")) else f"What fits: {fits}"
    text = f"{capital(noun)}: {wrong}. {mended}."
    element = name_in(measures, name) if name in NOUNS and name != "price" else "plan-options"
    return Shown(problem.field, element, text)


def _measured(quantity: Quantity, wrong: str, fits: str, measures: Measures) -> tuple[str, str]:
    """Tell numbers and limits with the reader's unit; what was typed as no number is quoted as it is."""
    unit, metric = quantity.unit(measures), re.compile(rf"([0-9.]+) {quantity.metric_unit}\b")
    if read := re.fullmatch(r"(\S+) (is too (?:small|large))", wrong):
        wrong = f"{_as_typed(read[1], quantity, measures)} {unit} {read[2]}"
    else:
        wrong = metric.sub(lambda read: f"{tidy(quantity.show(float(read[1]), measures))} {unit}", wrong)
    if ends := re.fullmatch(r"a number from ([0-9.]+) to ([0-9.]+)", fits):
        least, most = quantity.bounds(float(ends[1]), float(ends[2]), measures)
        fits = f"a number from {tidy(least)} to {tidy(most)} {unit}"
    # A limit that the cake sets: rounded down, as it is the most.
    fits = metric.sub(lambda read: f"{tidy(quantity.bounds(0, float(read[1]), measures)[1])} {unit}", fits)
    return wrong, fits


def _as_typed(metric: str, quantity: Quantity, measures: Measures) -> str:
    """Write a refused number with all its digits, so that it is not rounded into what is allowed."""
    return plain(quantity.show(float(metric), measures)) if measures.is_customary(quantity.kind) else metric


def _priced(id_: str, holds: str, cost: str, measures: Measures) -> str:
    """Say what is wrong with a row of the price table, as it was typed."""
    held = pack_text(holds, measures, in_pieces=id_ == EGGS)
    return (
        f"The price of {id_.replace('-', ' ')}: a pack of “{held}” for “{cost}” cannot be used. "
        "Enter what a pack holds and what it costs, both as numbers above 0."
    )


def options_form(
    catalogue: Catalogue,
    pairs: Iterable[Pair],
    advised: tuple[str, str] | None,
    measures: Measures,
    currency: Currency | None = None,
) -> Form:
    """Make the form with what the address says; of every choice, what is taken where it says nothing stands first."""
    usual, pairs = PlanOptions(), [_to_measures(pair, measures) for pair in pairs]
    fields: dict[str, Any] = {name_in(measures, name): StringField(_label(name, measures)) for name in ENTRIES}
    said = dict(pairs)
    chosen = {"rosettes": "Rosettes", "swirl": "Swirl on cupcakes", "egg_size": "Eggs", "slice": "Slices"}
    for name, label in chosen.items():
        taken = getattr(usual, name)
        texts = choices_in(measures, name)
        unsaid = f"{texts[taken].partition(':')[0].partition(',')[0]} (usual)"
        fields[name] = _choice(label, taken, unsaid, texts, said.get(name))
    taken = currency or usual.currency
    fields["currency"] = _choice("Currency", taken, f"{taken} (usual)", CHOICES["currency"], said.get("currency"))
    names = {id_: formulation.name for id_, formulation in catalogue.formulations.items()}
    for name, label, id_ in zip(("coat", "filling"), ("Coat", "Filling"), advised or ("", ""), strict=True):
        unsaid = f"{names.get(id_, id_)} (advised)" if id_ else "Choose"
        fields[name] = _choice(label, id_, unsaid, names, said.get(name))
    return type("PlanForm", (Form,), fields)(MultiDict(pairs))


def _to_measures(pair: Pair, measures: Measures) -> Pair:
    """Rename and convert for the reader's form; a metric number stays as it is, to the last digit."""
    return pair if name_in(measures, pair[0]) == pair[0] else in_measures([pair], measures)[0]


def choices_in(measures: Measures, name: str) -> dict[str, str]:
    """Give the texts of a choice with its sizes in the reader's measures."""
    if name == "slice" and measures.is_customary("length"):
        return _SLICES_IN_INCHES
    if name == "swirl" and measures.is_customary("thickness"):
        return _SWIRLS_IN_INCHES
    return CHOICES[name]


def _label(name: str, measures: Measures) -> str:
    """Name an entry, with the reader's unit behind what is measured."""
    quantity = QUANTITY_OF.get(name)
    return f"{ENTRIES[name]} ({quantity.unit(measures)})" if quantity else ENTRIES[name]


def _choice(label: str, taken: str, unsaid: str, options: dict[str, str], said: str | None) -> SelectField:
    """Offer what is taken where nothing is said, once: by its own name too only where the address has that."""
    others = {value: text for value, text in options.items() if value != taken or value == said}
    choices = [SelectChoice("", unsaid), *(SelectChoice(value, text) for value, text in others.items())]
    return SelectField(label, choices=choices, validate_choice=False)


def taken_unsaid(catalogue: Catalogue, measures: Measures) -> dict[str, str]:
    """Return what a plan takes for each entry that is left empty, as a form shows it; by the entry's metric name."""
    number_of = {
        "filling_mm": ("cake", "filling_mm"),
        "crumb_mm": ("cake", "crumb_coat_mm"),
    }
    work = WorkOptions()
    return {
        **{name: tidy(QUANTITY_OF[name].show(catalogue.fact(*of).value, measures)) for name, of in number_of.items()},
        "bowl_l": bowl_words(catalogue.fact("mixer", "bowl_l").value, measures, is_typed=False).split(" ")[0],
        "allowance_pct": tidy(sum(catalogue.fact("loss", name).value for name in ("bowl", "bag", "trimming"))),
        "work_from": measures.clock(work.work_from),
        "work_to": measures.clock(work.work_to),
        "fridge_tiers": "all",
        "days_ahead": f"{work.days_ahead}",
    }
