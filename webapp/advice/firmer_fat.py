"""How much of a coat's fat would have to be a firmer one for it to hold, computed on the same warmed cake."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from webapp.advice.heat import CakeHeat
from webapp.advice.holds import coat_hold
from webapp.advice.softness import Softness
from webapp.catalogue.model import Catalogue, Formulation, Ingredient, Substitution
from webapp.decision.limits import screen
from webapp.decision.model import HOLDS_FROM, Candidate, Situation
from webapp.kitchen.swaps import swapped

STEPS = 20  # shares are tried in twentieths: finer is not weighed out in a kitchen


@dataclass(frozen=True, slots=True)
class FirmerFat:
    """The smallest share (0..1) of one fat swapped for a firmer one with which a coat holds, and how likely."""

    swap: Substitution
    share: float
    chance: float
    formulation: Formulation


def firmer_fat(
    coat: Candidate, heat: CakeHeat, situation: Situation, softness: Softness, catalogue: Catalogue
) -> FirmerFat | None:
    """Return the smallest swap of fat that makes a coat hold within every limit; none where no share does."""
    found = []
    for swap in fat_swaps(coat.formulation, catalogue.substitutions, catalogue.ingredients):
        variants = [_variant(coat.formulation, swap, catalogue.ingredients, step) for step in range(1, STEPS + 1)]
        chances = _Chances(variants, heat, softness, catalogue)
        least = chances.first_that_holds()
        if least is not None and _is_allowed(coat, variants[least], situation, catalogue):
            found.append(FirmerFat(swap, (least + 1) / STEPS, chances.of(least), variants[least]))
    return min(found, key=lambda each: each.share, default=None)


@dataclass(frozen=True, slots=True, eq=False)
class _Chances:
    """The chance of holding of formulas with more and more of a firmer fat, each computed when first asked."""

    variants: list[Formulation]
    heat: CakeHeat
    softness: Softness
    catalogue: Catalogue

    def of(self, index: int) -> float:
        return coat_hold(self.variants[index], self.heat, self.softness, self.catalogue).look.chance

    def first_that_holds(self) -> int | None:
        """Find it by halving; more of a firmer fat holds longer."""
        low, high = -1, len(self.variants) - 1
        if self.of(high) < HOLDS_FROM:
            return None
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self.of(middle) >= HOLDS_FROM else (middle, high)
        return high


def fat_swaps(
    formulation: Formulation, swaps: Mapping[str, Substitution], ingredients: Mapping[str, Ingredient]
) -> Iterator[Substitution]:
    """Yield the swaps that replace one fat of a formula by a fat of another kind."""
    held = {line.ingredient.id: line.ingredient.fat_kind for line in formulation.lines}
    for swap in swaps.values():
        old, new = held.get(swap.replaces), ingredients[swap.with_].fat_kind
        if old is not None and new is not None and old != new:
            yield swap


def _variant(
    formulation: Formulation, swap: Substitution, ingredients: Mapping[str, Ingredient], step: int
) -> Formulation:
    made = swapped(formulation, swap, ingredients, step / STEPS)
    # An id of its own, as what is known of a formulation is kept by its id.
    return replace(made, id=f"{formulation.id}+{swap.id}-{step}")


def _is_allowed(coat: Candidate, made: Formulation, situation: Situation, catalogue: Catalogue) -> bool:
    return bool(screen([replace(coat, formulation=made)], situation, catalogue.rules).coats)
