"""Use case: a brief and its pairing in; how long before its display the cake leaves the fridge out."""

from __future__ import annotations

import datetime as dt

from webapp.advice.brief import Brief
from webapp.advice.service import Advisor
from webapp.advice.work_plan import WorkOptions, plan_work
from webapp.catalogue.model import Formulation

# What is done for the delivery, of which the first thing done takes the cake out of the fridge.
_DELIVERY = frozenset({"dowel", "temper", "box"})
_LONG_BEFORE = dt.timedelta(days=14)  # a kitchen that has this long to the display is short of working hours alone


def minutes_out_before(
    service: Advisor, brief: Brief, coat: Formulation, filling: Formulation, *, now: dt.datetime
) -> int | None:
    """Return the minutes before the display at which the work plan takes the cake out of the fridge.

    The plan is the one of usual working hours, from ``now`` (aware) or, for an event that is near or over, from two
    weeks before it; none where the work fits into neither.

    Raises
    ------
    ValueError
        If ``now`` has no time zone.
    """
    plan = plan_work(service, brief, coat, filling, WorkOptions(), now=now)
    if not plan.fits:
        plan = plan_work(service, brief, coat, filling, WorkOptions(), now=plan.display - _LONG_BEFORE)
    if not plan.fits:
        return None
    out = next(row.start for row in plan.rows if row.id in _DELIVERY)
    return round((plan.display.astimezone(dt.UTC) - out.astimezone(dt.UTC)) / dt.timedelta(minutes=1))
