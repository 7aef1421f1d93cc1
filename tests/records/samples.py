"""Consultations to try things on, and a clock that goes only when it is told to."""

from __future__ import annotations

import datetime as dt
from typing import Any

from webapp.records.consultations import Content
from webapp.records.housekeeping import take_turn
from webapp.records.opening import Records
from webapp.records.outcomes import Note
from webapp.records.prices import PackPrice, PriceList

BRIEF: dict[str, Any] = {"setting": "shade", "air_high_c": 31.0, "tiers": [{"width_cm": 30}], "note": "Zoë\u0000 ½"}
ADVICE: dict[str, Any] = {"verdict": "holds", "hold": {"likely_h": 4.25, "chance": 1e-07}, "z": 1, "a": None}
PASSWORD = "a rather long password"


class Clock:
    """Gives the time it was set to."""

    def __init__(self, moment: dt.datetime) -> None:
        self.moment = moment

    def __call__(self) -> dt.datetime:
        return self.moment

    def go(self, **delta: float) -> None:
        """Let some time pass."""
        self.moment += dt.timedelta(**delta)


def content(client: str = "Zoë Müller", event: str = "Garden wedding", **changed: Any) -> Content:
    """What a decorator might save."""
    fields: dict[str, Any] = {
        "client": client,
        "event": event,
        "event_date": dt.date(2027, 6, 26),
        "brief": BRIEF,
        "advice": ADVICE,
        "data_version": "0123456789abcdef",
        "code_version": "0.1.0",
    }
    return Content(**fields | changed)


def fill(records: Records) -> None:
    """Put something of everything in."""
    first = records.consultations.add(content(coat="swiss", filling="american"))
    second = records.consultations.add(content("Ærø & Łukasz", "50. Geburtstag", event_date=None))
    records.consultations.delete(second.id)
    owner = records.accounts.add("Ånna", PASSWORD, "owner")
    records.accounts.add("Bo", PASSWORD, "staff")
    records.drafts.keep("half-filled", {"air_high_c": "3", "tiers": [""]}, owner.id, first.id)
    records.drafts.keep("nobody's", {})
    seen = {"air_c": [24.0, 29.5], "humidity_pct": 60}
    records.outcomes.add(
        first.id, Note("swiss", "smooth", seen, softened_h=3.5, coat_c=26.1, coat_low_c=25.0, coat_high_c=27.5)
    )
    records.outcomes.add(first.id, Note("american", "smooth", seen, held_h=4.0, remark="In a tent.\nStill fine."))
    records.links.make(first.id, dt.timedelta(days=30))
    records.links.revoke(records.links.make(first.id, dt.timedelta(days=1)).link.id)
    records.settings.put("house", {"units": "metric", "rate": 24})
    records.settings.put("ours against yours", True)
    records.prices.put(PriceList({"butter": PackPrice(250.0, 2.9), "eggs": PackPrice(10.0, 3.45)}, "GBP"))
    records.attempts.admit([("name Ånna", 5)], dt.timedelta(minutes=15))
    take_turn(records, "a sample", dt.datetime(2027, 5, 1, 9, 0, tzinfo=dt.UTC), dt.timedelta(minutes=15))
