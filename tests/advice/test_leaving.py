from __future__ import annotations

import datetime as dt

import pytest

from tests.advice.asking import asked
from webapp.advice.leaving import minutes_out_before
from webapp.advice.service import Advisor
from webapp.advice.work_plan import WorkOptions, plan_work
from webapp.catalogue.model import Catalogue

WEEKS_BEFORE = dt.datetime(2027, 6, 1, 9, 0, tzinfo=dt.UTC)
AFTER_IT = dt.datetime(2027, 8, 1, 9, 0, tzinfo=dt.UTC)
EVENT = {"date": "2027-06-26", "start": "15:00", "hold_hours": 3, "travel_minutes": 45}


@pytest.mark.parametrize("event", [{}, {"travel_minutes": 0}, {"start_c": 18}], ids=["road", "here", "tempered"])
def test_it_leaves_the_fridge_when_the_plan_of_the_work_says_so(catalogue: Catalogue, event: dict[str, object]) -> None:
    # Seen to fail: counted from the departure, the road alone before the display.
    service, brief = Advisor(catalogue), asked(**EVENT | event)
    coat, filling = (catalogue.formulations[each] for each in ("american-butter", "swiss-butter"))
    before = minutes_out_before(service, brief, coat, filling, now=WEEKS_BEFORE)
    plan = plan_work(service, brief, coat, filling, WorkOptions(), now=WEEKS_BEFORE)
    assert before is not None and before > brief.travel_minutes
    out = plan.display - dt.timedelta(minutes=before)
    assert f"{out:%H:%M}" in plan.serve_by.partition(".")[0]  # "Out of the fridge at …"


def test_an_event_that_is_over_has_the_time_it_had(catalogue: Catalogue) -> None:
    # Seen to fail: with the second look, two weeks before the event, left out.
    service, brief = Advisor(catalogue), asked(**EVENT)
    coat = catalogue.formulations["american-butter"]
    times = {minutes_out_before(service, brief, coat, coat, now=now) for now in (WEEKS_BEFORE, AFTER_IT)}
    assert len(times) == 1 and None not in times


def test_work_that_fits_no_working_day_has_no_time(catalogue: Catalogue) -> None:
    crowd = asked(**EVENT | {"tiers": [], "cupcakes": 2000, "start": "04:00"})
    coat = catalogue.formulations["american-butter"]
    assert minutes_out_before(Advisor(catalogue), crowd, coat, coat, now=WEEKS_BEFORE) is None
