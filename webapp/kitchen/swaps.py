"""One ingredient swapped for another in a formula, or several one after the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from webapp.catalogue.model import EggTreatment, FormulaLine, Formulation, Ingredient, Substitution

WATER = "water"
PASTEURISED = "-pasteurised"  # how the data end the id of an egg that was pasteurised before it was sold


@dataclass(frozen=True, slots=True)
class WeighedSwap:
    """One swap in the grams [g] of one formula.

    ``ratio`` is grams of the new ingredient for one gram of the old; ``out_g`` goes out, ``in_g`` comes in, and
    ``water_g`` is added, or left out where it is negative and there is water to leave out.
    """

    swap: Substitution
    ratio: float
    out_g: float
    in_g: float
    water_g: float


def swapped(
    formulation: Formulation,
    swap: Substitution,
    ingredients: Mapping[str, Ingredient],
    share: float = 1.0,
) -> Formulation:
    """Return the formula with a share (0..1) of one ingredient swapped.

    A fat is swapped at equal fat, computed from both compositions, and the water that goes with it is put back;
    anything else at the swap's own ratio of masses. The treatment of the egg follows from what egg is left. The id
    stays, as the result is a variant of the formula; :func:`chained` gives it one of its own.

    Raises
    ------
    ValueError
        If the formula does not hold the ingredient that the swap replaces.
    """
    weighed = weigh(formulation, swap, ingredients, share)
    lines: list[FormulaLine] = []
    fat_stage = ""
    for line in formulation.lines:
        if line.ingredient.id != swap.replaces:
            lines.append(line)
            continue
        fat_stage = line.stage
        new, out = ingredients[swap.with_], share * line.grams
        lines += [replace(line, grams=line.grams - out), FormulaLine(new, out * weighed.ratio, line.stage)]
    lines = _with_water(lines, FormulaLine(ingredients[WATER], weighed.water_g, fat_stage))
    made = replace(formulation, lines=_merged(lines))
    return replace(made, egg_treatment=_treatment(made))


def chained(
    formulation: Formulation, swaps: Sequence[Substitution], ingredients: Mapping[str, Ingredient]
) -> Formulation:
    """Return the formula with every swap done, one after the other, under an id and a name that tell them."""
    made = formulation
    for swap in swaps:
        made = swapped(made, swap, ingredients)
    if not swaps:
        return formulation
    told = [f"{_lower(ingredients[s.with_])} for {_lower(ingredients[s.replaces])}" for s in swaps]
    name = f"{formulation.name}, with {' and '.join(told)}"
    return replace(made, id="+".join((formulation.id, *(swap.id for swap in swaps))), name=name)


def weigh(
    formulation: Formulation, swap: Substitution, ingredients: Mapping[str, Ingredient], share: float = 1.0
) -> WeighedSwap:
    """Weigh a swap of a share (0..1) of one ingredient for one formula.

    Raises
    ------
    ValueError
        If the formula does not hold the ingredient that the swap replaces.
    """
    held = [line.grams for line in formulation.lines if line.ingredient.id == swap.replaces]
    if not held:
        raise ValueError(f"{formulation.id} has no {swap.replaces}")
    old, new = ingredients[swap.replaces], ingredients[swap.with_]
    ratio, out_g = ratio_of(swap, old, new), share * sum(held)
    water_g = out_g * (old.water - ratio * new.water) / 100 if _is_fat_swap(old, new) else 0.0
    return WeighedSwap(swap, ratio, out_g, out_g * ratio, water_g)


def ratio_of(swap: Substitution, old: Ingredient, new: Ingredient) -> float:
    """Return the grams of the new ingredient for one of the old: by equal fat between fats, else as the data say."""
    return old.fat / new.fat if _is_fat_swap(old, new) else swap.ratio


def _is_fat_swap(old: Ingredient, new: Ingredient) -> bool:
    return old.fat_kind is not None and new.fat_kind is not None and old.fat > 20 and new.fat > 20  # not milk or cream


def _is_for_syrup(line: FormulaLine) -> bool:
    return line.stage == "syrup"


def _with_water(lines: list[FormulaLine], lost: FormulaLine) -> list[FormulaLine]:
    """Put lost water back, or take out what the new fat brings along where there is water to take.

    The water of a syrup is left alone: it is what stays after boiling.
    """
    if lost.grams > 0:
        return [*lines, lost]
    missing = -lost.grams
    thinner = []
    for line in lines:
        taken = min(missing, line.grams) if line.ingredient.id == WATER and not _is_for_syrup(line) else 0.0
        missing -= taken
        thinner.append(replace(line, grams=line.grams - taken))
    return thinner


def _merged(lines: list[FormulaLine]) -> tuple[FormulaLine, ...]:
    """Add up lines of one ingredient, in the order in which they first come; empty ones go, a syrup's stay apart."""
    merged: dict[tuple[str, bool], FormulaLine] = {}
    for line in lines:
        key = line.ingredient.id, _is_for_syrup(line)
        known = merged.get(key)
        merged[key] = line if known is None else replace(known, grams=known.grams + line.grams)
    return tuple(line for line in merged.values() if line.grams > 1e-9)


def _treatment(formulation: Formulation) -> EggTreatment:
    """Return how the egg that is left is treated: not at all without egg, pasteurised where all of it is so sold."""
    eggs = [line.ingredient.id for line in formulation.lines if line.ingredient.egg_part != "none"]
    if not eggs:
        return "none"
    if all(egg.endswith(PASTEURISED) for egg in eggs):
        return "pasteurised"
    return formulation.egg_treatment


def _lower(ingredient: Ingredient) -> str:
    name = ingredient.name.partition(" (")[0].partition(" from ")[0]
    return name[:1].lower() + name[1:]
