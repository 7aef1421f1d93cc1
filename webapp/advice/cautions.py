"""Which cautions travel with an advice."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping

from webapp.advice.contract import CautionOut
from webapp.advice.service import Record
from webapp.catalogue.composition import compose
from webapp.catalogue.model import Catalogue, Formulation, Rule

_LABEL_DECIDES = frozenset({"tree-nut-free", "soy-free", "coconut-free", "gluten-free", "dairy-free", "vegan"})
_DIFFER_BY_MAKER = frozenset({"plant-block", "high-ratio-shortening", "all-purpose-shortening", "powdered-sugar"})


def cautions_for(record: Record) -> Iterator[Rule]:
    """Yield the cautions that apply, in the order of the data."""
    chosen = _chosen(record)
    for rule in record.catalogue.rules.values():
        if rule.kind == "caution" and _APPLIES[rule.applies_to](record, chosen):
            yield rule


def cautions_named(ids: Collection[str], catalogue: Catalogue) -> list[CautionOut]:
    """Return the cautions of these ids, in the order of the data."""
    rules = [rule for rule in catalogue.rules.values() if rule.id in ids]
    return [CautionOut(id=rule.id, text=rule.sentence, source=rule.source) for rule in rules]


def _chosen(record: Record) -> tuple[Formulation, ...]:
    if record.answer is None:
        return ()
    pairing = record.answer.pairing
    return pairing.coat.formulation, pairing.filling.formulation


def _has_egg(record: Record, chosen: tuple[Formulation, ...]) -> bool:
    return any("egg" in compose(formulation).allergens for formulation in chosen)


def _is_perishable(record: Record, chosen: tuple[Formulation, ...]) -> bool:
    # Egg, milk and the wet plant foams alike: until measured, every coat is treated as one that needs the fridge.
    return bool(chosen)


def _has_syrup(record: Record, chosen: tuple[Formulation, ...]) -> bool:
    return any(formulation.family.id in ("italian", "french") for formulation in chosen)


def _has_syrup_cooked_egg(record: Record, chosen: tuple[Formulation, ...]) -> bool:
    return any(formulation.egg_treatment == "syrup-cooked" for formulation in chosen)


def _holds(chosen: tuple[Formulation, ...], ingredients: frozenset[str]) -> bool:
    return any(line.ingredient.id in ingredients for formulation in chosen for line in formulation.lines)


def _needs_labels_read(record: Record, chosen: tuple[Formulation, ...]) -> bool:
    return not _LABEL_DECIDES.isdisjoint(record.brief.diet) and _holds(chosen, _DIFFER_BY_MAKER)


_APPLIES: Mapping[str, Callable[[Record, tuple[Formulation, ...]], bool]] = {
    "always": lambda record, chosen: True,
    "egg": _has_egg,
    "syrup": _has_syrup,
    "syrup-cooked-egg": _has_syrup_cooked_egg,
    "perishable": _is_perishable,
    "stacked": lambda record, chosen: len(record.brief.tiers) > 1,
    "piped-flowers": lambda record, chosen: record.brief.piping == "fine",
    "diet": lambda record, chosen: bool(record.brief.diet),
    "label": _needs_labels_read,
    "aquafaba": lambda record, chosen: _holds(chosen, frozenset({"aquafaba"})),
    "heat": lambda record, chosen: bool(chosen),
}
