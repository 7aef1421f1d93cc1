"""Cities as people type them, and time zones of points on the map."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest

from webapp.advice.places import find_place, nearest_timezone

KNOWN = {
    "Verona": ("Verona, Italy", "Europe/Rome"),
    "Verona, IT": ("Verona, Italy", "Europe/Rome"),
    " verona ,  italy ": ("Verona, Italy", "Europe/Rome"),
    "São Paulo": ("São Paulo, Brazil", "America/Sao_Paulo"),
    "sao paulo": ("São Paulo, Brazil", "America/Sao_Paulo"),
    "Zürich": ("Zürich, Switzerland", "Europe/Zurich"),
    "ZURICH": ("Zürich, Switzerland", "Europe/Zurich"),
    "Malmo": ("Malmö, Sweden", "Europe/Stockholm"),
    "Tromsø": ("Tromsø, Norway", "Europe/Oslo"),
    "Lodz": ("Łódź, Poland", "Europe/Warsaw"),
    "Reykjavik": ("Reykjavík, Iceland", "Atlantic/Reykjavik"),
    "Istanbul": ("Istanbul, Turkey", "Europe/Istanbul"),
    "İstanbul": ("Istanbul, Turkey", "Europe/Istanbul"),
    "Coeur d\N{RIGHT SINGLE QUOTATION MARK}Alene": ("Coeur d'Alene, Idaho", "America/Los_Angeles"),
    "St Louis": ("St. Louis, Missouri", "America/Chicago"),
    "Winston Salem": ("Winston-Salem, North Carolina", "America/New_York"),
    "Wien": ("Vienna, Austria", "Europe/Vienna"),
    "Cologne": ("Köln, Germany", "Europe/Berlin"),
    "東京": ("Tokyo, Japan", "Asia/Tokyo"),
    "Portland": ("Portland, Oregon", "America/Los_Angeles"),
    "Portland, Maine": ("Portland, Maine", "America/New_York"),
    "Portland, ME": ("Portland, Maine", "America/New_York"),
    "Portland, ME, US": ("Portland, Maine", "America/New_York"),
    "Paris": ("Paris, France", "Europe/Paris"),
    "Paris, Texas": ("Paris, Texas", "America/Chicago"),
    "Athens": ("Athens, Greece", "Europe/Athens"),
    "Athens, Georgia": ("Athens, Georgia", "America/New_York"),
    "Tbilisi, Georgia": ("Tbilisi, Georgia", "Asia/Tbilisi"),
    "Birmingham, England": ("Birmingham, United Kingdom", "Europe/London"),
    "Birmingham, Alabama": ("Birmingham, Alabama", "America/Chicago"),
    "London, UK": ("London, United Kingdom", "Europe/London"),
    "London, Canada": ("London, Canada", "America/Toronto"),
    "Belfast, Northern Ireland": ("Belfast, United Kingdom", "Europe/London"),
    "Prague, Czech Republic": ("Prague, Czechia", "Europe/Prague"),
    "Dubai, UAE": ("Dubai, United Arab Emirates", "Asia/Dubai"),
    "New York": ("New York City, New York", "America/New_York"),
    "New York, U.S.A.": ("New York City, New York", "America/New_York"),
    "Washington": ("Washington, District of Columbia", "America/New_York"),
    "Washington, D.C.": ("Washington, District of Columbia", "America/New_York"),
    "Ushuaia, Argentina": ("Ushuaia, Argentina", "America/Argentina/Ushuaia"),
    # Larger cities were or are also called so; the one that goes by the name is meant.
    "Venice": ("Venice, Italy", "Europe/Rome"),
    "Zaragoza": ("Zaragoza, Spain", "Europe/Madrid"),
    "Islamabad": ("Islamabad, Pakistan", "Asia/Karachi"),
    "Cancun": ("Cancún, Mexico", "America/Cancun"),
}


@pytest.mark.parametrize("typed", KNOWN)
def test_a_city_is_found_as_people_type_it(typed: str) -> None:
    place = find_place(typed)
    assert place is not None
    assert (place.name, place.timezone) == KNOWN[typed]


@pytest.mark.parametrize(
    "typed",
    ["Nowhereville", "Verona, Narnia", "Verona, Japan", "Paris, Ohio, FR", "", " ", ",", ", IT", "...", "Italy,", "US"],
)
def test_no_city_is_made_up(typed: str) -> None:
    assert find_place(typed) is None


def test_a_place_has_the_coordinates_of_the_map() -> None:
    # Atlas values, to the tenth of a degree that a sun's height does not feel.
    for typed, latitude, longitude in (("Verona", 45.4, 11.0), ("Nairobi", -1.3, 36.8), ("Honolulu", 21.3, -157.9)):
        place = find_place(typed)
        assert place is not None
        assert (place.latitude, place.longitude) == pytest.approx((latitude, longitude), abs=0.1)


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [
        (45.44, 10.99, "Europe/Rome"),
        (39.0, -77.1, "America/New_York"),
        (-33.9, 151.2, "Australia/Sydney"),
        (28.6, 77.2, "Asia/Kolkata"),
        (-17.0, -179.9, "Pacific/Fiji"),  # over the date line, the nearest city lies at 178 east
        (64.1, -21.9, "Atlantic/Reykjavik"),
    ],
)
def test_a_point_has_the_time_zone_of_the_nearest_city(latitude: float, longitude: float, zone: str) -> None:
    assert nearest_timezone(latitude, longitude) == zone


def test_every_corner_of_the_map_has_a_known_time_zone() -> None:
    for point in ((90.0, 0.0), (-90.0, 0.0), (0.0, 180.0), (0.0, -180.0), (0.0, -30.0)):
        assert ZoneInfo(nearest_timezone(*point))
