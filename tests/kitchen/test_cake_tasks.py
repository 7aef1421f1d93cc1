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


def test_cupcakes_bake_for_their_own_minutes():
    """Seen to fail: 48 cupcakes baked as long as two loads of tins, 80 min."""
    made = cake_tasks(cake(tiers=(), cupcakes=48, oven_loads=0, cupcake_loads=2), TIMES)
    (bake,) = (one for one in made if one.kind == "bake")
    assert (bake.task.minutes, bake.minutes.low, bake.minutes.high, bake.loads) == (40, 30, 56, 2)


def test_a_buttercream_that_takes_longer_than_a_working_day_is_made_in_parts():
    """Seen to fail: 16 batches in a small bowl were one task of 9 h 35 min, which no evening has."""
    coat = (Minutes(575, 340, 945), dt.timedelta(days=5))
    made = [one for one in cake_tasks(cake(coat=coat, longest=240), TIMES) if one.kind == "make-coat"]
    assert [one.task.id for one in made] == ["make-coat-part-1", "make-coat-part-2", "make-coat"]
    assert [one.part for one in made] == [(1, 3), (2, 3), (3, 3)]
    assert [one.task.after for one in made] == [(), ("make-coat-part-1",), ("make-coat-part-2",)]
    assert all(one.task.minutes == 195 <= 240 for one in made)
    assert sum(one.minutes.likely for one in made) == pytest.approx(575)


@given(st.floats(5, 3000), st.integers(0, 1440))
def test_no_part_is_longer_than_the_hands_have(minutes, longest):
    made = cake_tasks(cake(coat=(Minutes(minutes, minutes, minutes), dt.timedelta(days=5)), longest=longest), TIMES)
    parts = [one.task.minutes for one in made if one.kind == "make-coat"]
    assert max(parts) <= max(5, longest)
    assert sum(parts) >= minutes - 1e-6


def test_spare_time_is_planned_beside_the_chilling_and_is_no_part_of_it():
    (through,) = (one for one in cake_tasks(cake(), TIMES) if one.kind == "chill-through")
    assert through.minutes == CHILL.core_cold
    assert through.task.minutes == CHILL.core_cold.planned + 30


def test_the_low_and_high_of_minutes_add_up_as_the_likely_do():
    # Seen to fail: one minute more at the low end.
    minutes, _ = minutes_of(TIMES, "mix", "swiss", {"order": 1, "tier": 3, "dozen": 4})
    assert (minutes.low, minutes.high) == (15 + 3 * 7 + 4 * 3, 30 + 3 * 15 + 4 * 8)


def test_what_is_done_away_from_the_kitchen_is_done_on_the_day():
    # Seen to fail: on any day.
    made = cake_tasks(cake(travel=Minutes(45, 45, 45)), TIMES)
    away = {one.kind: one.task for one in made if one.task.is_away}
    assert {kind: task.days_ahead for kind, task in away.items() if kind != "travel"} == {
        "box": 0,
        "load": 0,
        "set-up": 0,
    }


def test_a_dozen_begun_is_swirled_as_one():
    # Seen to fail: dozens of thirteen.
    swirl = {n: next(o for o in cake_tasks(cake(cupcakes=n), TIMES) if o.kind == "swirl").minutes for n in (12, 13, 24)}
    assert swirl[13].likely == swirl[24].likely == 2 * swirl[12].likely > 0
