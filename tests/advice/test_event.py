from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.event import air_error_k, clock_hours, daylight, exposure_of, heat_draws
from webapp.catalogue.model import Catalogue
from webapp.thermal.exposure import Exposure, course_times
from webapp.thermal.humid import saturation_pressure

NOON_SUN = {"setting": "sun", "air_high_c": 30.0, "start": "11:00"}


def met(catalogue: Catalogue, **fields: Any) -> Exposure:
    return exposure_of(asked(**fields), catalogue, TODAY)


def at_clock(exposure: Exposure, start_h: float, clock_h: float) -> int:
    return int(np.argmin(np.abs(exposure.hours - (clock_h - start_h))))


def test_a_room_stays_as_warm_as_it_was_said(catalogue: Catalogue) -> None:
    exposure = met(catalogue, air_high_c=23)
    assert np.all(exposure.air_c == 23)
    assert np.all(exposure.wind_mps == 0.1)
    assert not exposure.is_boxed.any()


def test_the_course_runs_from_the_arrival_to_twelve_hours(catalogue: Catalogue) -> None:
    hours = met(catalogue).hours
    assert (hours[0], hours[-1]) == (0, 12)
    assert np.all(np.diff(hours) > 0)


def test_a_drive_comes_before_the_table_in_a_box_and_out_of_the_sun(catalogue: Catalogue) -> None:
    exposure = met(catalogue, **NOON_SUN, travel_minutes=45, travel_c=26, wind_mps=4)
    way = exposure.is_boxed
    assert exposure.hours[0] == pytest.approx(-0.75)
    assert np.all(exposure.hours[way] <= 0)
    assert np.all(exposure.hours[~way] >= 0)
    assert np.all(exposure.air_c[way] == 26)
    assert np.all(exposure.wind_mps[way] == 0.1)
    assert np.all(exposure.wind_mps[~way] == 4)
    assert not exposure.sun_top[way].any()
    assert not exposure.sun_side[way].any()


def test_the_change_of_place_has_both_airs_at_the_arrival(catalogue: Catalogue) -> None:
    exposure = met(catalogue, air_high_c=21, travel_minutes=45, travel_c=30)
    assert list(exposure.air_c[exposure.hours == 0]) == [30, 21]


def test_an_unsaid_car_is_as_cool_as_a_room(catalogue: Catalogue) -> None:
    exposure = met(catalogue, air_high_c=30, travel_minutes=30)
    assert np.all(exposure.air_c[exposure.is_boxed] == 21)


def test_outdoor_air_swings_between_low_and_high(catalogue: Catalogue) -> None:
    exposure = met(catalogue, setting="shade", air_high_c=30, air_low_c=18, start="12:00")
    assert 29.8 < exposure.air_c.max() <= 30
    assert exposure.air_c[-1] < 24
    warmest = 12 + exposure.hours[np.argmax(exposure.air_c)]
    assert 14 <= warmest <= 17


def test_a_later_start_meets_cooler_air(catalogue: Catalogue) -> None:
    afternoon, evening = (
        met(catalogue, setting="shade", air_high_c=31, start=start).air_c.max() for start in ("14:00", "20:00")
    )
    assert evening < afternoon - 3


@pytest.mark.parametrize("setting", ["indoors", "tent", "shade"])
def test_the_sun_shines_only_in_the_sun(catalogue: Catalogue, setting: str) -> None:
    exposure = met(catalogue, **{**NOON_SUN, "setting": setting})
    assert not exposure.sun_top.any()
    assert not exposure.sun_side.any()


def test_the_sun_shines_by_day_and_not_by_night(catalogue: Catalogue) -> None:
    exposure = met(catalogue, **NOON_SUN)
    noon, night = at_clock(exposure, 11, 13), at_clock(exposure, 11, 21)
    # A clear sky overhead brings about 1 kW/m2 to the level, common practice.
    assert 900 < exposure.sun_top[noon] < 1150
    assert exposure.sun_top[night] == exposure.sun_side[night] == 0


def test_cloud_takes_sun_away(catalogue: Catalogue) -> None:
    tops = [met(catalogue, **NOON_SUN, cloud_pct=cloud).sun_top.max() for cloud in (0, 50, 100)]
    assert tops == sorted(tops, reverse=True)
    assert tops[2] < 0.35 * tops[0]


def test_a_place_has_its_own_sun(catalogue: Catalogue) -> None:
    winter = met(catalogue, **NOON_SUN, place="Reykjavik", date="2026-12-21")
    summer = met(catalogue, **NOON_SUN, place="Verona", date="2027-06-21")
    assert winter.sun_top.max() < 0.1 * summer.sun_top.max()


def test_an_unknown_place_is_not_flattered(catalogue: Catalogue) -> None:
    known = met(catalogue, **NOON_SUN, place="Verona", date="2027-06-21")
    assert met(catalogue, **NOON_SUN).sun_top.max() >= known.sun_top.max()


def test_daylight_is_that_of_the_place_or_six_to_eight(catalogue: Catalogue) -> None:
    assert daylight(asked(setting="shade"), TODAY) == (6, 20)
    # Verona on the longest day: 5:29 to 21:04 summer time, to 5 min, from any almanac.
    rise, set_ = daylight(asked(setting="shade", place="Verona", date="2027-06-21"), TODAY)
    assert rise == pytest.approx(5 + 29 / 60, abs=0.09)
    assert set_ == pytest.approx(21 + 4 / 60, abs=0.09)


def test_a_forecast_is_followed_hour_by_hour(catalogue: Catalogue) -> None:
    table = "14:00, 28, 40, 2\n16:00, 32, 30, 4\n20:00, 22, 60, 1"
    exposure = met(catalogue, setting="shade", start="14:00", weather=table)
    at_three = at_clock(exposure, 14, 15)
    assert exposure.air_c[at_three] == pytest.approx(28 + 2 * exposure.hours[at_three])
    assert exposure.air_c[-1] == 22
    assert exposure.wind_mps[0] == 2
    assert exposure.vapour_pa[0] == pytest.approx(0.4 * float(saturation_pressure(28.0)))


def test_where_a_forecast_leaps_the_steps_are_split(catalogue: Catalogue) -> None:
    """Seen to fail: steps of a quarter of an hour in which the air rose by 5.5 K."""
    leaping = {"setting": "shade", "start": "10:20", "weather": "10:00, 20\n15:00, 20\n16:00, 42\n17:00, 42"}
    leap, calm = (met(catalogue, **leaping), met(catalogue, **{**leaping, "weather": "10:00, 20\n17:00, 25"}))
    assert np.abs(np.diff(leap.air_c)).max() <= 2 + 1e-9
    assert np.isin(calm.hours, leap.hours).all()
    assert len(leap.hours) > len(calm.hours) == len(course_times(0.0))


def test_a_forecast_says_nothing_of_a_room(catalogue: Catalogue) -> None:
    exposure = met(catalogue, air_high_c=21, weather="14:00, 35\n16:00, 38")
    assert np.all(exposure.air_c == 21)


def test_moisture_is_that_of_the_warmest_time_and_never_more_than_the_air_holds(catalogue: Catalogue) -> None:
    exposure = met(catalogue, setting="shade", air_high_c=30, air_low_c=10, humidity_pct=90)
    assert exposure.vapour_pa.max() == pytest.approx(0.9 * float(saturation_pressure(30.0)))
    assert np.all(exposure.vapour_pa <= saturation_pressure(exposure.air_c) + 1e-9)


def test_canvas_and_paving_are_warmer_than_the_air_and_walls_are_not(catalogue: Catalogue) -> None:
    def side_above_air(setting: str) -> float:
        exposure = met(catalogue, setting=setting, air_high_c=30)
        return float((exposure.radiant_side_c - exposure.air_c).max())

    tent, sun = (catalogue.fact(f"surroundings:{place}", "warming").value for place in ("tent", "sun"))
    assert side_above_air("tent") == pytest.approx(tent)
    assert side_above_air("sun") == pytest.approx(sun / 2)  # the side sees as much sky as ground
    assert side_above_air("shade") == side_above_air("indoors") == 0


def test_a_boxed_cake_meets_no_sun_and_no_wind(catalogue: Catalogue) -> None:
    exposure = exposure_of(asked(**NOON_SUN, wind_mps=5), catalogue, TODAY, is_boxed=True)
    assert exposure.is_boxed.all()
    assert not exposure.sun_top.any()
    assert np.all(exposure.wind_mps == 0.1)


def test_the_air_is_less_sure_the_further_ahead_the_event(catalogue: Catalogue) -> None:
    def error(**fields: Any) -> float:
        return air_error_k(asked(**fields), catalogue, TODAY)

    days = [error(setting="shade", date=date) for date in ("2026-11-25", "2026-11-30", "2027-06-26")]
    assert days == sorted(days)
    assert days[0] == error(setting="shade") == catalogue.fact("air:outdoors", "error").value
    assert days[2] == catalogue.fact("forecast", "error_of_season").value
    assert error(setting="indoors", date="2027-06-26") == catalogue.fact("air:indoors", "error").value


def test_draws_have_the_ranges_of_the_data(catalogue: Catalogue) -> None:
    draws = heat_draws(asked(setting="sun", colour="dark"), catalogue, 512, 0, TODAY)
    film, colour = catalogue.fact("film", "factor"), catalogue.fact("colour:dark", "absorptance")
    assert np.percentile(draws.film, (5, 50, 95)) == pytest.approx((film.low, 1, film.high), abs=0.01)
    absorbed = np.percentile(draws.sun, (5, 50, 95)) * colour.value
    assert absorbed == pytest.approx((colour.low, colour.value, colour.high), abs=0.01)
    assert draws.air_k.std() == pytest.approx(catalogue.fact("air:outdoors", "error").value, rel=0.02)


def test_the_clock_counts_minutes_and_seconds() -> None:
    assert clock_hours(asked(start="14:30")) == 14.5
    assert clock_hours(asked()) == 15
