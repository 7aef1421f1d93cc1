from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from typing import Any

import numpy as np
import pytest

from tests.advice.asking import THREE_TIERS, TODAY, asked
from webapp.advice.heat_map import (
    AIR_C,
    EDGES,
    HOURS,
    NONE,
    STEPS,
    HeatMap,
    heat_map,
    in_air,
    lasting,
)
from webapp.advice.map_words import map_lines, map_sentences, map_summary
from webapp.advice.service import Advisor
from webapp.decision.ranking import CLASSES
from webapp.units import METRIC, US

Shape = dict[str, Any]

SHADE: Shape = {"setting": "shade", "air_high_c": 31, "hold_hours": 3}
ROOM: Shape = {"air_high_c": 24, "hold_hours": 4, "travel_minutes": 45, "piping": "none", "sweetness": 1}
VEGAN: Shape = {"setting": "tent", "air_high_c": 29, "hold_hours": 5, "diet": ["vegan"], "humidity_pct": 80}
SUN: Shape = {"setting": "sun", "air_high_c": 27, "hold_hours": 1, "start": "09:00", "piping": "rosettes"}
NIGHT: Shape = {"setting": "shade", "air_high_c": 34, "air_low_c": 28, "start": "19:30", "hold_hours": 2, "start_c": 18}
FORECAST: Shape = {
    "setting": "shade",
    "weather": "12:00,27\n15:00,31,40\n19:00,24,60",
    "start": "13:00",
    "hold_hours": 3,
    "tiers": THREE_TIERS,
}
BRIEFS = {
    "shade": SHADE,
    "room": ROOM,
    "vegan": VEGAN,
    "sun": SUN,
    "night": NIGHT,
    "forecast": FORECAST,
}


@pytest.fixture(scope="module")
def maps(advisor: Advisor) -> dict[str, HeatMap]:
    made = {name: heat_map(advisor, asked(**shape), TODAY) for name, shape in BRIEFS.items()}
    return {name: known for name, known in made.items() if known is not None}


def test_every_brief_that_something_fits_has_a_map(maps: dict[str, HeatMap]) -> None:
    assert set(maps) == set(BRIEFS)
    for known in maps.values():
        assert known.first.shape == known.classes.shape == (STEPS, STEPS)
        assert (known.air_c[0], known.air_c[-1]) == AIR_C
        assert (known.hours[0], known.hours[-1]) == HOURS
        assert (np.diff(known.air_c) > 0).all() and (np.diff(known.hours) > 0).all()


CELLS = list(product((2, 13, 24, 29, 41), (1, 20, 45)))


# The courses between the stepped days are 0.06 K off on the mean, which moves a chance by about 0.02.
NEAR = 0.04


def is_near_an_edge(chances: Iterable[float]) -> bool:
    return any(abs(chance - edge) < NEAR for chance in chances for edge in EDGES)


@pytest.mark.parametrize("name", BRIEFS)
def test_every_cell_says_what_the_advice_says_there(maps: dict[str, HeatMap], advisor: Advisor, name: str) -> None:
    known = maps[name]
    for column, row in CELLS:
        brief = in_air(known.brief, float(known.air_c[column]))
        brief = brief.model_copy(update={"hold_hours": float(known.hours[row])})
        choice = advisor.judge(brief, TODAY)[2].choice
        assert choice is not None
        chances = {coat.candidate.id: coat.candidate.hold.chance for coat in choice.coats}
        drawn = {coat.id: known.chance[n, column, row] for n, coat in enumerate(known.coats)}
        assert drawn == pytest.approx(chances, abs=NEAR), f"{known.air_c[column]} {known.hours[row]}"
        if all(abs(max(drawn.values()) - edge) > NEAR for edge in EDGES):
            assert CLASSES[known.classes[column, row]] == choice.advised.hold_class
            if choice.advised.hold_class != "fails" and not is_near_an_edge(drawn.values()):
                first = known.coats[known.first[column, row]].id
                assert first in {p.coat.id for p in choice.pairings if p.is_tied_with_first}


@pytest.mark.parametrize("name", BRIEFS)
def test_the_event_itself_is_exactly_the_advice(maps: dict[str, HeatMap], advisor: Advisor, name: str) -> None:
    known = maps[name]
    assert known.is_event_inside
    choice = advisor.judge(known.brief, TODAY)[2].choice
    assert choice is not None
    column = int(np.flatnonzero(known.air_c == known.event_c)[0])
    row = int(np.flatnonzero(known.hours == known.brief.hold_hours)[0])
    exact = [coat.hold.chance for coat in choice.matrix.grid.coats]
    assert known.chance[:, column, row] == pytest.approx(exact, abs=1e-12)
    assert CLASSES[known.classes[column, row]] == choice.advised.hold_class
    expected = None if choice.advised.hold_class == "fails" else choice.advised.coat.id
    assert (None if known.first[column, row] == NONE else known.coats[known.first[column, row]].id) == expected


@pytest.mark.parametrize("name", BRIEFS)
def test_where_none_holds_only_grows_with_heat_and_hours(maps: dict[str, HeatMap], name: str) -> None:
    fails = maps[name].first == NONE
    assert (fails[1:] >= fails[:-1]).all()
    assert (fails[:, 1:] >= fails[:, :-1]).all()
    classes = maps[name].classes
    assert (np.diff(classes, axis=0) >= 0).all() and (np.diff(classes, axis=1) >= 0).all()


def test_the_cell_of_a_coat_that_does_not_hold_has_no_coat(maps: dict[str, HeatMap]) -> None:
    for known in maps.values():
        assert ((known.first == NONE) == (known.classes == CLASSES.index("fails"))).all()


def test_a_vegan_map_has_vegan_coats_only(maps: dict[str, HeatMap]) -> None:
    shown = {maps["vegan"].coats[n].id for n in np.unique(maps["vegan"].first) if n != NONE}
    assert len(shown) > 1
    eligible = {"plant", "shortening", "aquafaba"}
    assert all(any(word in id_ for word in eligible) and "butter" not in id_ for id_ in shown)


def test_nothing_fits_has_no_map(advisor: Advisor) -> None:
    brief = asked(diet=["egg-free", "soy-free", "vegan"], equipment=[])
    assert advisor.judge(brief, TODAY)[2].choice is None
    assert heat_map(advisor, brief, TODAY) is None


@pytest.mark.parametrize(
    ("air_c", "hours"), [(12.0, 3), (44.0, 3), (21.0, 0)], ids=["too cool", "too hot", "cut at once"]
)
def test_an_event_off_the_map_is_said_to_be(advisor: Advisor, air_c: float, hours: float) -> None:
    known = heat_map(advisor, asked(air_high_c=air_c, hold_hours=hours), TODAY)
    assert known is not None and not known.is_event_inside
    assert "lies outside the map" in map_sentences(known, METRIC)[0]
    assert map_lines(known, METRIC)


def test_air_moves_as_a_whole() -> None:
    hotter = in_air(asked(**NIGHT), 36.0)
    assert (hotter.air_high_c, hotter.air_low_c) == (36.0, 30.0)
    moved = in_air(asked(**FORECAST), 33.0)
    assert [hour.air_c for hour in moved.forecast] == [29.0, 33.0, 26.0]
    assert [(hour.clock_h, hour.humidity_pct) for hour in moved.forecast] == [(12, None), (15, 40), (19, 60)]
    assert moved.warmest_c == 33.0


def test_lasting_reads_a_falling_chance_between_the_cells() -> None:
    along = np.array([1.0, 2.0, 4.0])
    chance = np.array([[1.0, 0.8, 0.4], [1.0, 1.0, 0.9], [0.4, 0.2, 0.0]])
    assert lasting(chance, along, 0.5) == pytest.approx([3.5, 4.0, 0.0])
    assert lasting(chance, along, 0.9) == pytest.approx([1.5, 4.0, 0.0])


def test_the_table_and_the_sentences_agree_with_the_cells(maps: dict[str, HeatMap]) -> None:
    known = maps["shade"]
    row = int(np.flatnonzero(known.hours == 3)[0])
    for column in range(0, STEPS, 5):
        read = known.row(float(known.air_c[column]))
        assert CLASSES.index(read.hold_class) == known.classes[column, row]
        if known.first[column, row] != NONE:
            assert read.coat is known.coats[known.first[column, row]]
        assert read.low_h <= read.likely_h <= read.high_h


def test_no_hours_stand_alone_unless_the_range_is_beyond_the_horizon(maps: dict[str, HeatMap]) -> None:
    for known, measures in product(maps.values(), (METRIC, US)):
        for line in map_lines(known, measures):
            is_ranged = " to " in line.keeps or line.keeps.startswith("12 h or more, perhaps ")
            assert is_ranged or line.keeps in ("12 h or more", "soft on arrival or soon after")


def test_words_are_in_the_degrees_of_the_reader(maps: dict[str, HeatMap]) -> None:
    for known in maps.values():
        said = [*map_sentences(known, US), map_summary(known, US), *(line.air for line in map_lines(known, US))]
        assert not any("°C" in text for text in said)
        assert [line.air for line in map_lines(known, METRIC)] == sorted(
            {line.air for line in map_lines(known, METRIC)}
        )
