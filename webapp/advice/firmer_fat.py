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
        chances = _Chances(coat.formulation, swap, heat, softness, catalogue)
        least = chances.first_that_holds()
        if least is not None and _is_allowed(coat, least.formulation, situation, catalogue):
            found.append(least)
    return min(found, key=lambda each: each.share, default=None)


@dataclass(frozen=True, slots=True, eq=False)
class _Chances:
    """The chance of holding of a formula with more and more of a firmer fat, each computed when first asked."""

    formulation: Formulation
    swap: Substitution
    heat: CakeHeat
    softness: Softness
    catalogue: Catalogue

    def of(self, step: int) -> FirmerFat:
        made = _variant(self.formulation, self.swap, self.catalogue.ingredients, step)
        chance = coat_hold(made, self.heat, self.softness, self.catalogue).look.chance
        return FirmerFat(self.swap, step / STEPS, chance, made)

    def first_that_holds(self) -> FirmerFat | None:
        """Find it by halving; more of a firmer fat holds longer."""
        low, high, found = 0, STEPS, self.of(STEPS)
        if found.chance < HOLDS_FROM:
            return None
        while high - low > 1:
            middle = self.of((low + high) // 2)
            if middle.chance >= HOLDS_FROM:
                high, found = (low + high) // 2, middle
            else:
                low = (low + high) // 2
        return found


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
