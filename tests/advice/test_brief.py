from __future__ import annotations

import datetime as dt
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.advice.asking import asked
from webapp.advice.brief import Brief, Tier, next_midsummer_saturday, read_brief
from webapp.errors import BriefError, FieldProblem


def problems(text: str) -> tuple[FieldProblem, ...]:
    with pytest.raises(BriefError) as caught:
        read_brief(text)
    return caught.value.problems


def problem(**fields: object) -> FieldProblem:
    (only,) = problems(json.dumps(fields))
    return only


def test_an_empty_brief_is_a_mild_indoor_party() -> None:
    brief = asked()
    assert (brief.setting, brief.air_high_c, brief.hold_hours, brief.start_c) == ("indoors", 21, 3, 4)
    assert brief.tiers == (Tier(),)
    assert (brief.piping, brief.finish, brief.colour, brief.sponge) == ("borders", "smooth", "white", "butter")
    assert brief.equipment == ("stand-mixer", "thermometer")
    assert not brief.model_fields_set


def test_a_room_has_one_temperature_and_still_air() -> None:
    brief = asked(air_high_c=24)
    assert (brief.low_c, brief.wind) == (24, 0.1)


def test_outdoors_the_night_is_nine_degrees_cooler_and_a_breeze_blows() -> None:
    brief = asked(setting="tent", air_high_c=30)
    assert (brief.low_c, brief.wind) == (21, 1)


def test_what_is_given_goes_before_what_is_taken() -> None:
    brief = asked(setting="sun", air_high_c=30, air_low_c=25, wind_mps=0, travel_c=30, start="09:30")
    assert (brief.low_c, brief.wind, brief.travel_air_c) == (25, 0, 30)
    assert brief.start_time == dt.time(9, 30)


def test_the_display_starts_at_three_unless_said() -> None:
    assert asked().start_time == dt.time(15, 0)


def test_midnight_is_a_start() -> None:
    assert asked(start="00:00").start_time == dt.time(0, 0)


def test_diet_and_equipment_are_kept_once_and_in_one_order() -> None:
    brief = asked(diet=["vegan", "egg-free", "vegan"], equipment=["thermometer", "stand-mixer"])
    assert brief.diet == ("egg-free", "vegan")
    assert brief.equipment == ("stand-mixer", "thermometer")


@pytest.mark.parametrize(
    ("tier", "area_cm2", "perimeter_cm"),
    [
        ({"shape": "round", "width_cm": 20}, 314.16, 62.83),
        ({"shape": "square", "width_cm": 20}, 400, 80),
        ({"shape": "rectangle", "width_cm": 30, "depth_cm": 20}, 600, 100),
        ({"shape": "rectangle", "width_cm": 30}, 900, 120),
    ],
)
def test_a_tier_has_the_footprint_of_its_shape(tier: dict[str, object], area_cm2: float, perimeter_cm: float) -> None:
    (read,) = asked(tiers=[tier]).tiers
    assert read.area_cm2 == pytest.approx(area_cm2, rel=1e-4)
    assert read.perimeter_cm == pytest.approx(perimeter_cm, rel=1e-4)


@pytest.mark.parametrize(
    ("fields", "field", "said", "allowed"),
    [
        ({"colour": "mauve"}, "colour", '"mauve" is not a choice', 'one of "white", "pastel", "deep" or "dark"'),
        ({"diet": ["nuts"]}, "diet.0", '"nuts" is not a choice', '"tree-nut-free"'),
        ({"air_high_c": 51}, "air_high_c", "51 is too large", "a number from -10 to 50"),
        ({"air_high_c": -11}, "air_high_c", "-11 is too small", "a number from -10 to 50"),
        ({"air_high_c": "hot"}, "air_high_c", '"hot" is not a number', "a number from -10 to 50"),
        ({"hold_hours": None}, "hold_hours", "null is not a number", "a number from 0 to 12"),
        ({"supported": "yes"}, "supported", '"yes" is neither true nor false', "true or false"),
        ({"cupcakes": 1.5}, "cupcakes", "1.5 is not a whole number", "a whole number from 0 to 2000"),
        ({"sweetness": 0}, "sweetness", "0 is too small", "a whole number from 1 to 5"),
        ({"date": "tomorrow"}, "date", '"tomorrow" is not a date', "a date such as 2027-06-26"),
        ({"start": "25:00"}, "start", '"25:00" is not a time', "a local time such as 15:00"),
        ({"timezone": "Atlantis/Capital"}, "timezone", "no such time zone", "IANA"),
        ({"place": "Nowhereville"}, "place", 'no city called "Nowhereville" is known', "a city of 15,000 people"),
        ({"place": "a|b"}, "place", 'no city called "a/b" is known', "a city of 15,000 people"),
        ({"weather": "x|y, 3"}, "weather", 'line 1: "x/y" is not a time such as 14:00 or 2 pm', "two lines or more"),
        ({"importance": {"heat": 6}}, "importance.heat", "6 is too large", "a number from 0 to 5"),
        ({"importance": {"luck": 1}}, "importance.luck", '"luck" is not a choice', '"heat"'),
        ({"tiers": [{"width_cm": 7}]}, "tiers.0.width_cm", "7 is too small", "a number from 8 to 80"),
        ({"tiers": [{"colour": "red"}]}, "tiers.0.colour", "there is no such field", "one of shape, width_cm"),
        ({"tiers": [{}] * 11}, "tiers", "there are too many", "at most 10"),
        ({"tiers": [{"layers": 11}]}, "tiers.0.layers", "11 is too large", "a whole number from 1 to 10"),
        ({"tiers": {}}, "tiers", "{} is not an array", "an array"),
        ({"tiers": [3]}, "tiers.0", "3 is not an object", "the fields of a tier"),
        ({"importance": 3}, "importance", "3 is not an object", '{"heat": 4}'),
        ({"importance": {"heat": None}}, "importance.heat", "null is not a number", "a number from 0 to 5"),
        ({"air_high_c": True}, "air_high_c", "true is not a number", "a number from -10 to 50"),
        ({"place": 3}, "place", "3 is not a text", "a text"),
        ({"place": "x" * 81}, "place", '"' + "x" * 58 + "… is too long", "at most 80 characters"),
        ({"date": "0"}, "date", '"0" is not a date', "a date such as 2027-06-26"),
        ({"date": "2027-02-30"}, "date", '"2027-02-30" is not a date', "a date such as 2027-06-26"),
        ({"start": "15:00Z"}, "start", '"15:00Z" is not a time', "a local time such as 15:00"),
        ({"start": "15:00\n"}, "start", '"15:00\\n" is not a time', "a local time such as 15:00"),
        ({"timezone": "localtime"}, "timezone", "no such time zone", "IANA"),
        ({"timezone": "Factory"}, "timezone", "no such time zone", "IANA"),
        ({"flavour": "lemon"}, "flavour", "there is no such field", "one of setting, air_high_c"),
        ({"air_low_c": 30}, "air_low_c", "is above the day's high", "at most 21"),
        ({"tiers": []}, "tiers", "there is no cake", "some cupcakes"),
        (
            {"tiers": [{"width_cm": 15}, {"width_cm": 20}]},
            "tiers.1.width_cm",
            "is wider than the tier below it",
            "at most 15",
        ),
        ({"latitude": 45}, "longitude", "is missing", "latitude and longitude together"),
        ({"longitude": 9}, "latitude", "is missing", "latitude and longitude together"),
    ],
)
def test_a_bad_field_is_refused_by_name_with_what_is_allowed(
    fields: dict[str, object], field: str, said: str, allowed: str
) -> None:
    refused = problem(**fields)
    assert refused.field == field
    assert refused.problem == said
    assert allowed in refused.allowed


def test_every_bad_field_is_told_at_once() -> None:
    found = problems('{"colour": "mauve", "air_high_c": 99, "flavour": "lemon"}')
    assert {p.field for p in found} == {"colour", "air_high_c", "flavour"}


@pytest.mark.parametrize("text", ["", "{", "cake", '{"air_high_c": }'])
def test_what_is_not_json_is_said_to_be_so(text: str) -> None:
    (only,) = problems(text)
    assert (only.field, only.problem) == ("brief", "is not valid JSON")


@pytest.mark.parametrize("text", ["[]", "3", '"cake"', "null"])
def test_json_that_is_no_object_is_refused(text: str) -> None:
    (only,) = problems(text)
    assert only.field == "brief"


@pytest.mark.parametrize("number", ["NaN", "Infinity", "1e999"])
def test_numbers_without_end_are_refused(number: str) -> None:
    (only,) = problems('{"air_high_c": ' + number + "}")
    assert only == FieldProblem("air_high_c", "is not a number that can be used", "a number from -10 to 50")


def test_a_long_wrong_word_is_cut_short() -> None:
    assert len(problem(colour="x" * 500).problem) < 100
    assert len(problem(**{"x" * 500: 1}).field) == 60


@pytest.mark.parametrize("mark", ["\N{RIGHT-TO-LEFT OVERRIDE}", "\N{ZERO WIDTH SPACE}", "\N{SOFT HYPHEN}", "\0", "\n"])
def test_a_place_is_written_in_characters_that_can_be_seen(mark: str) -> None:
    refused = problem(place=f"Ro{mark}me")
    assert "cannot be seen" in refused.problem
    assert refused.problem.isprintable()


def test_a_place_may_hold_any_space() -> None:
    assert asked(place="New\N{NO-BREAK SPACE}York").site is not None


def test_a_whole_number_may_be_written_with_a_point() -> None:
    assert asked(cupcakes=5.0, sweetness=3.0).cupcakes == 5


def test_at_most_twenty_problems_are_told() -> None:
    assert len(problems(json.dumps({f"x{n}": n for n in range(100)}))) == 20


def test_of_a_bad_forecast_the_first_lines_are_named() -> None:
    said = problem(weather="\n".join(["1,2,3,4,5"] * 17)).problem
    assert "line 5: " in said and "line 6: " not in said
    assert said.endswith("; and 12 more lines")
    assert problem(weather="\n".join(["1,2,3,4,5"] * 6)).problem.endswith("; and 1 more line")


@given(st.dates(dt.date(1900, 1, 1), dt.date(2200, 12, 31)))
@settings(max_examples=100, deadline=None)
def test_midsummer_is_a_saturday_of_late_june_not_in_the_past(today: dt.date) -> None:
    saturday = next_midsummer_saturday(today)
    assert saturday.weekday() == 5
    assert (saturday.month, saturday.day) >= (6, 21)
    assert (saturday.month, saturday.day) <= (6, 27)
    assert 0 <= (saturday - today).days <= 372


@pytest.mark.parametrize(
    ("today", "saturday"),
    [
        (dt.date(2026, 6, 27), dt.date(2026, 6, 27)),
        (dt.date(2026, 6, 28), dt.date(2027, 6, 26)),
        (dt.date(2025, 1, 1), dt.date(2025, 6, 21)),
    ],
)
def test_midsummer_on_its_own_day_and_the_day_after(today: dt.date, saturday: dt.date) -> None:
    assert next_midsummer_saturday(today) == saturday


def test_the_day_given_is_the_day_of_the_event() -> None:
    assert asked(date="2027-02-03").event_date(dt.date(2026, 1, 1)) == dt.date(2027, 2, 3)
    assert asked().event_date(dt.date(2026, 1, 1)) == dt.date(2026, 6, 27)


def test_a_brief_is_read_back_from_its_own_json() -> None:
    brief = asked(setting="sun", air_high_c=30, start="12:30", date="2027-07-01", tiers=[{"width_cm": 25}])
    assert Brief.model_validate_json(brief.model_dump_json()) == brief
