from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.kitchen.cake_tasks import CakeWork, Minutes, TierWork, cake_tasks, minutes_of, out_of_the_cold
from webapp.kitchen.work_plan import check_tasks, places_needed

TIMES = load_catalogue(Config().data_dir).tasks
CHILL = TierWork("cake", Minutes(25, 15, 50), Minutes(50, 30, 80), Minutes(580, 440, 760))
NONE = Minutes(0, 0, 0)


def cake(**given: object) -> CakeWork:
    fields: dict[str, object] = {
        "family": "swiss",
        "tiers": (CHILL,),
        "cupcakes": 0,
        "cupcake_places": 0,
        "cupcakes_cold": NONE,
        "piping": "borders",
        "is_textured": False,
        "is_dowelled": False,
        "crust": None,
        "coat": (Minutes(40, 30, 50), dt.timedelta(days=5)),
        "filling": None,
        "travel": NONE,
        "tempers": NONE,
        "stands": NONE,
    }
    return CakeWork(**fields | given)  # type: ignore[arg-type]


def ids(**given: object) -> list[str]:
    return [one.task.id for one in cake_tasks(cake(**given), TIMES)]


def test_a_coat_without_a_crust_is_chilled_before_it_is_smoothed():
    order = ids()
    assert order.index("coat-0") < order.index("chill-coat-0") < order.index("smooth-0") < order.index("pipe-borders-0")


def test_a_crust_is_waited_for_and_then_smoothed_and_piped_without_the_fridge():
    order = ids(family="american", crust=Minutes(15, 10, 30))
    at = order.index("coat-0")
    assert order[at : at + 5] == ["coat-0", "crust-0", "smooth-0", "pipe-borders-0", "chill-through-0"]


def test_a_familys_own_minutes_go_before_those_of_all():
    american, swiss = (minutes_of(TIMES, "smooth", family, {"tier": 1})[0] for family in ("american", "swiss"))
    assert (american.likely, swiss.likely) == (10, 15)


def test_minutes_add_up_over_tiers_and_dozens():
    minutes, rows = minutes_of(TIMES, "mix", "swiss", {"order": 1, "tier": 3, "dozen": 4})
    assert minutes.likely == 20 + 3 * 10 + 4 * 4
    assert {row.per for row in rows} == {"order", "tier", "dozen"}


def test_an_unknown_task_is_refused():
    with pytest.raises(KeyError):
        minutes_of(TIMES, "glaze", "swiss", {"order": 1})


def test_minutes_are_planned_rounded_up_to_five():
    assert [Minutes(likely, 0, 99).planned for likely in (0, 1, 5, 5.1, 12)] == [0, 5, 5, 10, 15]


def test_every_filled_tier_needs_its_place_in_the_fridge():
    tiers = tuple(TierWork(name, CHILL.crumb_firm, CHILL.coat_firm, CHILL.core_cold) for name in ("a", "b", "c"))
    assert places_needed(tuple(one.task for one in cake_tasks(cake(tiers=tiers), TIMES))) == 3


def test_time_out_of_the_cold_counts_what_is_done_on_the_tier():
    # Fill 15, crumb 8 -> 10, coat 15, smooth 15, borders 10.
    assert out_of_the_cold(cake_tasks(cake(), TIMES), "cake") == 65


@given(
    st.builds(
        cake,
        family=st.sampled_from(["american", "swiss", "italian", "french"]),
        tiers=st.integers(1, 6).map(
            lambda n: tuple(TierWork(f"tier {i}", CHILL.crumb_firm, CHILL.coat_firm, CHILL.core_cold) for i in range(n))
        ),
        cupcakes=st.integers(0, 100),
        piping=st.sampled_from(["none", "borders", "rosettes", "fine"]),
        is_textured=st.booleans(),
        is_dowelled=st.booleans(),
        crust=st.none() | st.just(Minutes(15, 10, 30)),
        filling=st.none() | st.just((Minutes(20, 15, 30), dt.timedelta(days=5))),
        travel=st.sampled_from([NONE, Minutes(45, 45, 45)]),
        tempers=st.sampled_from([NONE, Minutes(30, 20, 40)]),
        stands=st.sampled_from([NONE, Minutes(60, 60, 60)]),
    )
)
def test_the_tasks_of_any_cake_can_be_scheduled(made):
    described = cake_tasks(made, TIMES)
    check_tasks([one.task for one in described])
    assert all(one.minutes.low <= one.minutes.likely <= one.minutes.high for one in described)
    # Each tier that is filled is coated and ends cold in the fridge.
    for tier in made.tiers:
        last = [one for one in described if one.tier == tier.name][-1]
        assert last.kind == "chill-through"


def test_the_oven_is_filled_as_often_as_it_takes():
    baked = {n: next(o for o in cake_tasks(cake(oven_loads=n), TIMES) if o.kind == "bake").task.minutes for n in (1, 4)}
    assert baked == {1: 40, 4: 160}


def test_spare_time_is_planned_beside_the_chilling_and_is_no_part_of_it():
    (through,) = (one for one in cake_tasks(cake(), TIMES) if one.kind == "chill-through")
    assert through.minutes == CHILL.core_cold
    assert through.task.minutes == CHILL.core_cold.planned + 30
