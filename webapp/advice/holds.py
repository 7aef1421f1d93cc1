"""How long each formulation keeps the look that the brief asks for, and each part of the cake its shape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.advice.heat import Array, CakeHeat, PartHold
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
        return hold_facts([self], needed_h)[0]


def hold_facts(holds: Sequence[CoatHold], needed_h: float) -> list[HoldFacts]:
    """Return what a decision reads of several holds, one after the other."""
    looks = [hold.look for hold in holds]
    lasting = Spread.of_each([look.hours for look in looks])
    thresholds = Spread.of_each([look.threshold for look in looks])
    peaks = Spread.of_each([look.peak for look in looks])
    return [
        HoldFacts(
            needed_h=needed_h,
            likely_h=spread.likely,
            low_h=spread.low,
            high_h=spread.high,
            chance=look.chance,
            peak_c=peak.likely,
            peak_low_c=peak.low,
            peak_high_c=peak.high,
            threshold_c=threshold.likely,
            threshold_low_c=threshold.low,
            threshold_high_c=threshold.high,
            stands=look.stands.ravel(),
        )
        for look, spread, threshold, peak in zip(looks, lasting, thresholds, peaks, strict=True)
    ]


def coat_hold(formulation: Formulation, heat: CakeHeat, softness: Softness, catalogue: Catalogue) -> CoatHold:
    """Return how long a formulation holds as the coat of the warmed cake."""
    return coat_holds([formulation], heat, softness, catalogue)[formulation.id]


def coat_holds(
    formulations: Sequence[Formulation], heat: CakeHeat, softness: Softness, catalogue: Catalogue
) -> dict[str, CoatHold]:
    """Return how long each of some formulations holds as the coat, those of one family side by side."""
    piping = heat.brief.piping
    found: dict[str, CoatHold] = {}
    for family in {formulation.family.id: None for formulation in formulations}:
        alike = [formulation for formulation in formulations if formulation.family.id == family]
        plain = [_blurs_at(heat.brief.finish, each, softness, catalogue) for each in alike]
        coats = heat.parts("coat", family, plain)
        details = None
        if piping != "none":
            details = heat.parts("edge", family, [_blurs_at(piping, each, softness, catalogue) for each in alike])
        for place, formulation in enumerate(alike):
            detail = None if details is None else details[place]
            found[formulation.id] = CoatHold(coats[place], detail, _look(coats[place], detail))
    return {formulation.id: found[formulation.id] for formulation in formulations}


def _blurs_at(look: str, formulation: Formulation, softness: Softness, catalogue: Catalogue) -> Array:
    """Return the temperatures [°C] from which a look is lost, for each draw (S, K)."""
    share = softness.share(catalogue.formulation_fact(formulation, f"look_{look}"))
    return softness.of(formulation).at(share)


def _look(coat: PartHold, detail: PartHold | None) -> PartHold:
    if detail is None:
        return coat
    return PartHold(
        hours=np.minimum(coat.hours, detail.hours),
        stands=coat.stands & detail.stands,
        threshold=detail.threshold,
        peak=detail.peak,
    )


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
    """Return by how much [K] a filling stays below the temperature at which it creeps, until the cake is cut."""
    return filling_margins([formulation], heat, softness, catalogue)[formulation.id]


def filling_margins(
    formulations: Sequence[Formulation], heat: CakeHeat, softness: Softness, catalogue: Catalogue
) -> dict[str, Spread]:
    """Return by how much [K] each of some fillings stays, until the cake is cut, below where it creeps.

    Taken under a coat of its own family: what coats the cake moves the temperature between the layers by less than
    the range of that temperature.
    """
    share = softness.share(catalogue.fact("part:filling", "softening_share"))
    below = [softness.of(each).at(share) - heat.peak("filling", each.family.id)[:, None] for each in formulations]
    return dict(zip((each.id for each in formulations), Spread.of_each(below), strict=True))
