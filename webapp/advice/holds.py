"""How long each formulation keeps the look that the brief asks for, and each part of the cake its shape."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from webapp.advice.heat import CakeHeat, PartHold
from webapp.advice.softness import Softness
from webapp.catalogue.model import Catalogue, Formulation
from webapp.decision.model import HoldFacts
from webapp.thermal.holding import Spread


@dataclass(frozen=True, slots=True, eq=False)
class CoatHold:
    """A formulation as the coat: the plain coat, the piped detail where asked, and both together."""

    coat: PartHold
    detail: PartHold | None
    look: PartHold

    def facts(self, needed_h: float) -> HoldFacts:
        """What a decision reads of it."""
        spread = self.look.spread
        threshold, peak = Spread.of(self.look.threshold), Spread.of(self.look.peak)
        return HoldFacts(
            needed_h=needed_h,
            likely_h=spread.likely,
            low_h=spread.low,
            high_h=spread.high,
            chance=self.look.chance,
            peak_c=peak.likely,
            peak_low_c=peak.low,
            peak_high_c=peak.high,
            threshold_c=threshold.likely,
            threshold_low_c=threshold.low,
            threshold_high_c=threshold.high,
            stands=self.look.stands.ravel(),
        )


def coat_hold(formulation: Formulation, heat: CakeHeat, softness: Softness, catalogue: Catalogue) -> CoatHold:
    """Return how long a formulation holds as the coat of the warmed cake."""
    brief, fat = heat.brief, softness.of(formulation)
    family = formulation.family.id
    plain = softness.share(catalogue.formulation_fact(formulation, f"look_{brief.finish}"))
    coat = heat.part("coat", family, fat.at(plain))
    if brief.piping == "none":
        return CoatHold(coat, None, coat)
    blurs = softness.share(catalogue.formulation_fact(formulation, f"look_{brief.piping}"))
    detail = heat.part("edge", family, fat.at(blurs))
    look = PartHold(
        hours=np.minimum(coat.hours, detail.hours),
        stands=coat.stands & detail.stands,
        threshold=detail.threshold,
        peak=detail.peak,
    )
    return CoatHold(coat, detail, look)


def filling_hold(
    coat: Formulation, filling: Formulation, heat: CakeHeat, softness: Softness, catalogue: Catalogue
) -> PartHold:
    """Return how long the filling stays put between the layers, under a coat of the given formulation."""
    share = softness.share(catalogue.fact("part:filling", "softening_share"))
    return heat.part("filling", coat.family.id, softness.of(filling).at(share))


def stack_hold(
    coat: Formulation, filling: Formulation, heat: CakeHeat, softness: Softness, catalogue: Catalogue
) -> PartHold | None:
    """Return how long the tiers stay upright: the lowest filling under load; none with a single tier.

    With boards and dowels the tier above rests on them and the layers only have to stay stacked; without, the
    filling carries the weight and gives way as soon as it softens.
    """
    brief = heat.brief
    if len(brief.tiers) < 2:
        return None
    name = "part:stack-supported" if brief.supported else "part:stack-unsupported"
    share = softness.share(catalogue.fact(name, "softening_share"))
    return heat.part("filling", coat.family.id, softness.of(filling).at(share), bottom_only=True)


def filling_margin(formulation: Formulation, heat: CakeHeat, softness: Softness, catalogue: Catalogue) -> Spread:
    """Return by how much [K] a filling stays below the temperature at which it creeps, until the cake is cut.

    Taken under a coat of its own family: what coats the cake moves the temperature between the layers by less than
    the range of that temperature.
    """
    share = softness.share(catalogue.fact("part:filling", "softening_share"))
    creeps = softness.of(formulation).at(share)
    return Spread.of(creeps - heat.peak("filling", formulation.family.id)[:, None])
