"""Briefs for the tests, read as the API reads them."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from webapp.advice.brief import Brief, read_brief
from webapp.advice.heat import CakeHeat, warm_cake
from webapp.advice.holds import CoatHold
from webapp.advice.service import Advisor

TODAY = dt.date(2026, 11, 24)
THREE_TIERS = [{"width_cm": 30}, {"width_cm": 22}, {"width_cm": 15}]


# A zone of the surface takes up dew as one: what leaves it colder may let it take up a little too much. Of 6,600 pairs
# of random briefs, forecasts that leap among them, the worst ended 0.03 K warmer; of 2,400 pairs of cakes in the
# wettest air, sought for it, 0.07 K.
DEW_ALLOWANCE_K = 0.1


def asked(**fields: Any) -> Brief:
    return read_brief(json.dumps(fields))


def check_never_longer(
    advisor: Advisor, shape: Mapping[str, Any], harder: Mapping[str, Any], cooler_k: float = DEW_ALLOWANCE_K
) -> None:
    """Check that no draw holds longer under what is harder; the milder cake is taken ``cooler_k`` [K] cooler."""
    mild, hard = (warm_cake(asked(**s), advisor.catalogue, advisor.seed, TODAY) for s in (shape, {**shape, **harder}))
    spared = _holds(advisor, _cooler(mild, cooler_k))
    for id_, hold in _holds(advisor, hard).items():
        longer = hold.look.hours - spared[id_].look.hours
        assert longer.max() <= 1e-6, f"{id_}: a draw holds {longer.max()} h longer"
        assert not np.any(hold.look.stands & ~spared[id_].look.stands), f"{id_}: a draw stands that did not"


def _holds(advisor: Advisor, heat: CakeHeat) -> dict[str, CoatHold]:
    return advisor.coat_holds(heat, list(advisor.catalogue.formulations.values()))


def _cooler(heat: CakeHeat, by_k: float) -> CakeHeat:
    warming = replace(heat.warming, coat=heat.warming.coat - by_k, edge=heat.warming.edge - by_k)
    return replace(heat, warming=warming, _courses={})
