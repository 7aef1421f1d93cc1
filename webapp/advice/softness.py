"""Draws of the temperatures at which each formulation softens and slumps, and of the temperature that counts."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.catalogue.composition import compose, fat_blend
from webapp.catalogue.model import Catalogue, Fact, Formulation
from webapp.thermal.posterior import Posterior
from webapp.thermal.softening import GRID_C, Solids, blend, softening_draws
from webapp.thermal.uncertainty import Z_95, standard_draws, within_range

Array = NDArray[np.float64]

# Courses of heat, and how many softening temperatures meet each: 50 x 8 = 400 draws of a whole event.
HEAT_DRAWS = 50
FAT_DRAWS = 8
BUTTERFAT = "milk-fat"
MOUTH_C = 35.0  # of the tongue, common practice in work on fats
# Solids of a hard fat fall so slowly that its equal-solids slumping point lies far above where such coats are known
# to slide, for sugar and water let go first. So the way from softening to slumping is taken as at most this many
# times as long as with butter. Assumption, from the trade's 30 to 35 °C for half-shortening coats and its 37 °C limit.
WIDEST_GAP = 1.5


@dataclass(frozen=True, slots=True, eq=False)
class FatDraws:
    """Softening and slumping temperatures [°C] of one formulation, (HEAT_DRAWS, FAT_DRAWS) each."""

    softens: Array
    slumps: Array

    def at(self, share: Array | float) -> Array:
        """The temperature that lies ``share`` of the way from softening to slumping."""
        return self.softens + share * (self.slumps - self.softens)

    def fitted(self, learnt: Posterior) -> FatDraws:
        """The same draws about what was learnt: its median and range, each draw in its place among the others.

        Slumping moves as far as softening does: events tell when a look is lost, not how far it is from there.
        """
        low, likely, high = np.quantile(self.softens, (0.05, 0.5, 0.95))
        lower = (learnt.likely_c - learnt.low_c) / max(likely - low, 1e-9)
        upper = (learnt.high_c - learnt.likely_c) / max(high - likely, 1e-9)
        apart = self.softens - likely
        moved = learnt.likely_c + np.where(apart < 0, lower, upper) * apart - self.softens
        return FatDraws(self.softens + moved, self.slumps + moved)


class Softness:
    """What the catalogue's fats mean for each formulation; made once for a catalogue and a seed."""

    def __init__(self, catalogue: Catalogue, seed: int) -> None:
        self._catalogue = catalogue
        self._z = {
            name: values.reshape(HEAT_DRAWS, FAT_DRAWS)
            for name, values in standard_draws(HEAT_DRAWS * FAT_DRAWS, seed).items()
        }
        self._curves = {
            fat: Solids.of(*(np.array(c) for c in (s.temperature_c, s.solids_pct, s.low_pct, s.high_pct)))
            for fat, s in catalogue.fats.items()
        }
        self.learnt: Mapping[str, Posterior] = {}
        self._known: dict[str, FatDraws] = {}
        self._shares: dict[tuple[float, float, float], Array] = {}

    def of_catalogue(self, catalogue: Catalogue) -> Softness:
        """Return the same draws for a catalogue that holds more formulations of the same families and fats.

        What is known of the others is kept; a formulation that is new there is worked out there.
        """
        made = copy.copy(self)
        made._catalogue = catalogue
        ours = self._catalogue.formulations
        made._known = {id_: known for id_, known in self._known.copy().items() if id_ in ours}
        return made

    def learning(self, learnt: Mapping[str, Posterior]) -> Softness:
        """Return the same draws, with those of some formulations about what events taught; all others are as here."""
        made = copy.copy(self)
        made.learnt = dict(learnt)
        apart = {*self.learnt, *learnt}
        made._known = {id_: known for id_, known in self._known.copy().items() if id_ not in apart}
        return made

    def of(self, formulation: Formulation) -> FatDraws:
        """Draws for one formulation."""
        if formulation.id not in self._known:
            wet = self._lost_to_water(formulation)
            softens, slumps = (self._draw(formulation, name) - wet for name in ("softens", "slumps"))
            gap = self._butter(formulation, "slumps") - self._butter(formulation, "softens")
            widest = softens + WIDEST_GAP * gap
            draws = FatDraws(softens, np.clip(slumps, softens, widest))
            learnt = self.learnt.get(formulation.id)
            self._known[formulation.id] = draws if learnt is None else draws.fitted(learnt)
        return self._known[formulation.id]

    def share(self, fact: Fact) -> Array:
        """Draws of the share of the way from softening to slumping that a look allows."""
        key = (fact.value, fact.low, fact.high)
        if key not in self._shares:
            self._shares[key] = np.clip(within_range(self._z["look"], *key), 0.0, 1.0)
        return self._shares[key]

    def waxy_fat_share(self, formulation: Formulation) -> tuple[float, float, float]:
        """Return the share of the fat that is still solid in the mouth, with its 5th and 95th percentile."""
        mixed = blend(self._curves, fat_blend(formulation), known="")
        at = [float(np.interp(MOUTH_C, GRID_C, curve)) / 100 for curve in (mixed.value, mixed.sd_low, mixed.sd_high)]
        return at[0], max(0.0, at[0] - Z_95 * at[1]), at[0] + Z_95 * at[2]

    def _draw(self, formulation: Formulation, name: str) -> Array:
        known = self._catalogue.fact(formulation.family.id, name)
        butter = self._butter(formulation, name)
        shares = fat_blend(formulation)
        if set(shares) == {BUTTERFAT}:
            return butter
        mixed = blend(self._curves, shares, BUTTERFAT)
        return softening_draws(self._curves[BUTTERFAT], mixed, butter, known.value, self._z["own fat"])

    def _lost_to_water(self, formulation: Formulation) -> float:
        """Return by how much [K] a formula wetter than its family's first one softens and slumps earlier.

        A drier one is not credited: what it gains in stiffness it loses in smoothness and cracks.
        """
        first = next(f for f in self._catalogue.formulations.values() if f.family.id == formulation.family.id)
        extra = compose(formulation).water - compose(first).water
        return max(0.0, extra) * self._catalogue.fact("wetness", "softening_per_point").value

    def _butter(self, formulation: Formulation, name: str) -> Array:
        """Draws of the family's temperature for butter; softening and slumping move together."""
        known = self._catalogue.fact(formulation.family.id, name)
        return within_range(self._z["family fat"], known.value, known.low, known.high)
