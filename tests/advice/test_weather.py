"""Forecasts as people paste them: what is read, and what is refused with the number of its line."""

from __future__ import annotations

import pytest

from webapp.advice.weather import BadForecast, Degree, Hour, Speed, marked, read_forecast

# A line pasted second, after 12:00, with what it means.
GOOD: list[tuple[str, Hour]] = [
    ("14:00,31", Hour(14, 31, None, None)),
    ("14:00, 31, 45", Hour(14, 31, 45, None)),
    ("14:00,31,45,2", Hour(14, 31, 45, 2)),
    ("14:00;31,5", Hour(14, 31.5, None, None)),
    ("14:00;31,5;45,5;2,5", Hour(14, 31.5, 45.5, 2.5)),
    ("14:00\t31.5\t45", Hour(14, 31.5, 45, None)),
    ("14:00\t31,5\t\t3", Hour(14, 31.5, None, 3)),
    ("14,00;31", Hour(14, 31, None, None)),
    ("14.30,31", Hour(14.5, 31, None, None)),
    ("14h30,31", Hour(14.5, 31, None, None)),
    ("14h,31", Hour(14, 31, None, None)),
    ("14,31", Hour(14, 31, None, None)),
    ("2 pm,31", Hour(14, 31, None, None)),
    ("2:45 PM,31", Hour(14.75, 31, None, None)),
    ("12:30pm,31", Hour(12.5, 31, None, None)),
    ("12 am,18", Hour(24, 18, None, None)),
    ("24:00,18", Hour(24, 18, None, None)),
    ("00:30,18", Hour(24.5, 18, None, None)),
    ("11:00,28", Hour(35, 28, None, None)),
    ("14:00,88F", Hour(14, 280 / 9, None, None)),
    ("14:00,88 °F", Hour(14, 280 / 9, None, None)),
    ("14:00,31 °C,45 %,2 m/s", Hour(14, 31, 45, 2)),
    ("14:00,+31,45%,2M/S", Hour(14, 31, 45, 2)),
    ("14:00,-5", Hour(14, -5, None, None)),
    ("14:00,\N{MINUS SIGN}5.5", Hour(14, -5.5, None, None)),
    ("14:00,31,", Hour(14, 31, None, None)),
    ("14:00,31,,2", Hour(14, 31, None, 2)),
    ("  14:00 , 31\N{NO-BREAK SPACE}°C ,45 ", Hour(14, 31, 45, None)),
    ("14:00,50,100,15", Hour(14, 50, 100, 15)),
    ("14:00,-40,5,0", Hour(14, -40, 5, 0)),
]

# A line pasted second, after 12:00, with what is said of it.
BAD: list[tuple[str, str]] = [
    ("14:00", "columns"),
    ("14:00 31", "columns"),
    ("14:00,31,45,2,9", "columns"),
    ("14:00;31;45;2;9;1", "columns"),
    ("noon,31", "not a time such as"),
    (",31", "not a time such as"),
    ("1400,31", "not a time such as"),
    ("14:5,31", "not a time such as"),
    ("-2:00,31", "not a time such as"),
    ("2026-07-01 14:00,31", "not a time such as"),
    ("14:00 o'clock,31", "not a time such as"),
    ("25:00,31", "not a time of day"),
    ("24:30,31", "not a time of day"),
    ("14:60,31", "not a time of day"),
    ("14 pm,31", "not a time such as 2 pm"),
    ("0 am,31", "not a time such as 2 pm"),
    ("12:00,31", "repeats the time"),
    ("12 pm,31", "repeats the time"),
    ("14:00,warm", "not a temperature"),
    ("14:00,", "not a temperature"),
    ("14:00,304 K", "not a temperature"),
    ("14:00,3 1", "not a temperature"),
    ("14:00,88", "outside -40 to 50"),
    ("14:00,130F", "outside -40 to 50"),
    ("14:00,-41", "outside -40 to 50"),
    ("14:00,nan", "not a temperature"),
    ("14:00,1e1", "not a temperature"),
    ("14:00,31,humid", "humidity"),
    ("14:00,31,101", "humidity"),
    ("14:00,31,4", "humidity"),
    ("14:00,31,-45", "humidity"),
    ("14:00,31,7 m/s", "humidity"),
    ("14:00,31,45,16", "wind"),
    ("14:00,31,45,-1", "wind"),
    ("14:00,31,45,5%", "wind"),
    ("14:00,31,45,34 mph", "wind"),
    ("14:00,31,45,55 km/h", "wind"),
    ("14:00,31,45,8 knots", "wind"),
    ("14:00,31,45,breeze", "wind"),
]


def after_noon(line: str) -> str:
    return f"12:00,29\n{line}"


@pytest.mark.parametrize(("line", "hour"), GOOD, ids=[line for line, _ in GOOD])
def test_a_line_is_read(line: str, hour: Hour) -> None:
    noon, found = read_forecast(after_noon(line))
    assert noon == Hour(12, 29, None, None)
    assert found == Hour(hour.clock_h, pytest.approx(hour.air_c), hour.humidity_pct, hour.wind_mps)


@pytest.mark.parametrize(("line", "problem"), BAD, ids=[line for line, _ in BAD])
def test_a_bad_line_is_refused_by_its_number(line: str, problem: str) -> None:
    with pytest.raises(BadForecast) as refused:
        read_forecast(after_noon(line))
    (said,) = refused.value.problems
    assert said.startswith("line 2: ")
    assert problem in said


def test_there_are_lines_enough_of_both_kinds() -> None:
    assert len(GOOD) >= 25
    assert len(BAD) >= 25


def test_every_bad_line_is_told_and_blank_lines_are_counted() -> None:
    with pytest.raises(BadForecast) as refused:
        read_forecast("time,air\n\n13:00,hot\n14:00,31\n\n15:00,31,200\n16,31")
    assert [problem.split(":")[0] for problem in refused.value.problems] == ["line 3", "line 6"]
    assert "hot" in str(refused.value) and "200" in str(refused.value)


def test_a_heading_is_left_out_only_where_it_stands_first() -> None:
    assert len(read_forecast("Time;Air;Humidity\n14:00;31\n15:00;32")) == 2
    with pytest.raises(BadForecast, match="line 2"):
        read_forecast("14:00;31\nTime;Air\n15:00;32")


@pytest.mark.parametrize("text", ["", "  \n ", "14:00,31", "time,air\n14:00,31"])
def test_fewer_than_two_lines_are_no_forecast(text: str) -> None:
    with pytest.raises(BadForecast, match="fewer than two lines"):
        read_forecast(text)


def test_times_run_on_past_midnight_and_over_days() -> None:
    hours = read_forecast("18:00,30\n21:00,26\n0:00,22\n6:00,19\n18:00,29\n6:00,18")
    assert [hour.clock_h for hour in hours] == [18, 21, 24, 30, 42, 54]


def test_line_ends_of_any_system_are_read_alike() -> None:
    expected = read_forecast("14:00,31\n15:00,32")
    assert read_forecast("14:00,31\r\n15:00,32\r\n") == expected
    assert read_forecast("14:00,31\r15:00,32") == expected


@pytest.mark.parametrize(
    ("text", "degree", "with_units"),
    [
        ("14:00,88\n15:00,90,50", "F", "14:00,88F\n15:00,90F,50"),
        ("14:00;31,5", "C", "14:00;31,5C"),
        ("14:00\t31 °", "C", "14:00\t31C"),
        ("14:00,31C", "F", "14:00,31C"),
        ("time,air", "F", "time,air"),
        ("14:00,\N{MINUS SIGN}5", "C", "14:00,\N{MINUS SIGN}5C"),
    ],
)
def test_bare_temperatures_are_given_the_unit_of_the_reader(text: str, degree: Degree, with_units: str) -> None:
    assert marked(text, degree, "m/s") == with_units


@pytest.mark.parametrize(
    ("text", "speed", "with_units"),
    [
        ("2 pm, 86F, 55, 8", "mph", "2 pm, 86F, 55, 8 mph"),
        ("14:00;30C;55;8,5", "mph", "14:00;30C;55;8,5 mph"),
        ("14:00,30C,,4\n15:00,30C,,4 m/s", "mph", "14:00,30C,,4 mph\n15:00,30C,,4 m/s"),
        ("14:00,30C,55,8 mph", "m/s", "14:00,30C,55,8 mph"),
        ("14:00,30C,55,", "mph", "14:00,30C,55,"),
        ("time,air,humidity,wind", "mph", "time,air,humidity,wind"),
    ],
)
def test_a_bare_wind_is_given_the_unit_of_the_reader(text: str, speed: Speed, with_units: str) -> None:
    assert marked(text, "C", speed) == with_units


@pytest.mark.parametrize("wind", ["0 mph", "33 mph", "54 km/h", "15 m/s"])
def test_what_the_refusal_of_a_wind_says_is_allowed_is_allowed(wind: str) -> None:
    with pytest.raises(BadForecast) as refused:
        read_forecast(after_noon("14:00,31,45,99"))
    assert wind == "0 mph" or wind in str(refused.value)
    assert read_forecast(after_noon(f"14:00,31,45,{wind}"))
