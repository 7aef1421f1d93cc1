"""Work plans for the tests of the page, the picture and the calendar."""

from __future__ import annotations

import datetime as dt
import json
from functools import cache
from zoneinfo import ZoneInfo

from webapp.advice.brief import read_brief
from webapp.advice.service import Advisor
from webapp.advice.work_plan import WorkOptions, plan_work
from webapp.advice.work_sheet import WorkPlan
from webapp.catalogue.loader import load_catalogue
from webapp.config import Config

ADDRESS = "/plan?date=2026-06-20"
STAMP = dt.datetime(2026, 6, 1, 7, tzinfo=dt.UTC)
EARLY, LATE = (dt.datetime(2026, 6, day, 9, tzinfo=ZoneInfo("Europe/Rome")) for day in (1, 20))
_TIERS = [{"width_cm": 30}, {"width_cm": 22}, {"width_cm": 15}]


@cache
def advisor() -> Advisor:
    return Advisor(load_catalogue(Config().data_dir))


@cache
def wedding(now: dt.datetime = EARLY, date: str = "2026-06-20", place: str | None = "Verona") -> WorkPlan:
    """Three tiers under a Swiss coat with an American filling, driven for 40 minutes."""
    shape = {"tiers": _TIERS, "date": date, "travel_minutes": 40, "hold_hours": 3, "start": "15:00"}
    brief = read_brief(json.dumps(shape | ({"place": place} if place else {})))
    made = advisor().catalogue.formulations
    return plan_work(
        advisor(), brief, made["swiss-butter"], made["american-butter"], WorkOptions(fridge_tiers=4), now=now
    )
