"""The brief: every input of one decision, with what is allowed and what is taken when it is not given.

The form, the address bar and the API use these names. Temperatures are in °C, lengths in cm or mm.
"""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from typing import Annotated, Any, Literal, Self
from zoneinfo import available_timezones

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, field_validator, model_validator

from webapp.advice.brief_problems import DATE_FORM, MOST_PROBLEMS, TIME_FORM, echo, misfit, problem_of
from webapp.advice.places import Place, find_place, nearest_timezone
from webapp.advice.weather import BARE, COLUMNS, BadForecast, Hour, read_forecast
from webapp.errors import BriefError, FieldProblem
from webapp.kitchen.geometry import Footprint, Shape, footprint

Setting = Literal["indoors", "tent", "shade", "sun"]
Piping = Literal["none", "borders", "rosettes", "fine"]
Finish = Literal["smooth", "textured"]
Colour = Literal["white", "pastel", "deep", "dark"]
Sponge = Literal["light", "butter", "dense"]
Diet = Literal[
    "egg-free",
    "dairy-free",
    "vegan",
    "soy-free",
    "coconut-free",
    "tree-nut-free",
    "gluten-free",
    "no-undercooked-egg",
]
Equipment = Literal["stand-mixer", "thermometer"]
FamilyId = Literal["american", "swiss", "italian", "french"]
EggTreatment = Literal["none", "heated-71c", "syrup-cooked", "pasteurised"]
CriterionId = Literal[
    "heat",
    "hold_time",
    "sweetness",
    "piping",
    "finish",
    "stacking",
    "humidity",
    "colour",
    "richness",
    "mouthfeel",
    "effort",
]


def _whole(value: object) -> object:
    """JSON knows one kind of number: 3.0 is as whole as 3."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


# Stands after the bounds: before them, the document of the interface would lose them.
WHOLE = BeforeValidator(_whole)
Whole = Annotated[int, WHOLE]
Level = Annotated[int, Field(ge=1, le=5), WHOLE]

OUTDOORS = frozenset({"tent", "shade", "sun"})
DAY_SWING_K = 9.0
OUTDOOR_WIND_MPS = 1.0
INDOOR_WIND_MPS = 0.1
CAR_AIR_C = 21.0
MOST_OWN = 3  # own formulas of one brief

# A clock without an offset, as the description of the interface says it too.
LOCAL_TIME = r"^([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?$"
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
# Names of the list that mean a setting of one machine, or the same zone under another clock.
_NO_PLACES = ("localtime", "Factory", "posix/", "right/")

_strict = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class Tier(BaseModel):
    """One tier of the cake as it is baked and stacked, without its coat."""

    model_config = _strict

    shape: Shape = "round"
    width_cm: Annotated[
        float,
        Field(
            ge=8,
            le=80,
            description="diameter, the longer side, across the flats of a hexagon, or a heart's overall width",
        ),
    ] = 20.0
    depth_cm: Annotated[float | None, Field(ge=8, le=80, description="the other side of a rectangle")] = None
    height_cm: Annotated[float, Field(ge=4, le=40)] = 12.0
    layers: Annotated[int, Field(ge=1, le=10, description="layers of sponge"), WHOLE] = 3

    @property
    def footprint(self) -> Footprint:
        """What the tier covers, by its shape."""
        return footprint(self.shape, self.width_cm, self.depth_cm)

    @property
    def area_cm2(self) -> float:
        """Footprint of the tier [cm²]."""
        return self.footprint.area_cm2

    @property
    def perimeter_cm(self) -> float:
        """Length around the tier [cm]."""
        return self.footprint.outline_cm


class OwnFormula(BaseModel):
    """A decorator's own recipe for one batch, entered beside ours; its lines are read against the ingredient table."""

    model_config = _strict

    name: Annotated[str, Field(min_length=1, max_length=60, description="what it is called in the advice")]
    family: Annotated[FamilyId, Field(description="the family whose properties by feel it is taken to have")]
    egg_treatment: Annotated[
        EggTreatment, Field(description="none where there is no egg; heated-71c is the whole egg mix, measured")
    ] = "none"
    lines: Annotated[
        tuple[Annotated[str, Field(min_length=1, max_length=120)], ...],
        Field(min_length=1, max_length=30, description="an ingredient each, as people write them: 2 cups icing sugar"),
    ]

    @field_validator("name")
    @classmethod
    def _visible_name(cls, name: str) -> str:
        return _visible("own_formulas", name)

    @field_validator("lines")
    @classmethod
    def _visible_lines(cls, lines: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(_visible("own_formulas", line) for line in lines)


class Brief(BaseModel):
    """What the event and the client ask for."""

    model_config = _strict

    setting: Setting = "indoors"
    air_high_c: Annotated[float, Field(ge=-10, le=50, description="the day's warmest air; indoors the room")] = 21.0
    air_low_c: Annotated[float | None, Field(ge=-40, le=50, description="the day's coolest air")] = None
    humidity_pct: Annotated[float, Field(ge=5, le=100, description="at the warmest time")] = 50.0
    wind_mps: Annotated[float | None, Field(ge=0, le=15)] = None
    hold_hours: Annotated[float, Field(ge=0, le=12, description="on display until cut")] = 3.0
    date: Annotated[dt.date | None, Field(description="the day of the event")] = None
    start: Annotated[dt.time | None, Field(description="local time at which the display starts")] = None
    latitude: Annotated[float | None, Field(ge=-90, le=90)] = None
    longitude: Annotated[float | None, Field(ge=-180, le=180)] = None
    timezone: Annotated[str | None, Field(description="IANA time zone name", max_length=64)] = None
    place: Annotated[
        str | None, Field(max_length=80, description="a city, where useful with its country: Verona, IT")
    ] = None
    altitude_m: Annotated[float, Field(ge=-400, le=5000)] = 0.0
    cloud_pct: Annotated[float, Field(ge=0, le=100, description="share of the sky under cloud")] = 0.0
    weather: Annotated[
        str | None,
        Field(max_length=4000, description=f"forecast by the hour, a line each: {COLUMNS}; {BARE}"),
    ] = None
    travel_minutes: Annotated[float, Field(ge=0, le=600)] = 0.0
    travel_c: Annotated[float | None, Field(ge=-10, le=50, description="air around the boxed cake")] = None
    start_c: Annotated[float, Field(ge=-5, le=30, description="coat temperature on leaving the kitchen")] = 4.0
    tiers: Annotated[tuple[Tier, ...], Field(max_length=10, description="bottom first")] = (Tier(),)
    cupcakes: Annotated[int, Field(ge=0, le=2000), WHOLE] = 0
    supported: Annotated[bool, Field(description="every upper tier on a board and dowels")] = True
    cake_sweetness: Annotated[Level, Field(description="the sponge, 1 barely .. 5 very")] = 3
    sweetness: Annotated[Level, Field(description="what the client wants, 1 barely .. 5 very")] = 3
    piping: Piping = "borders"
    finish: Finish = "smooth"
    colour: Colour = "white"
    coat_mm: Annotated[float, Field(ge=3, le=20)] = 7.0
    sponge: Sponge = "butter"
    diet: tuple[Diet, ...] = ()
    equipment: tuple[Equipment, ...] = ("stand-mixer", "thermometer")
    own_formulas: Annotated[
        tuple[OwnFormula, ...],
        Field(max_length=MOST_OWN, description="own recipes, ranked beside ours as own-1, own-2, own-3"),
    ] = ()
    importance: Annotated[
        dict[CriterionId, Annotated[float, Field(ge=0, le=5)]],
        Field(description="weight of each criterion; those not named keep their default"),
    ] = {}

    @field_validator("diet", "equipment")
    @classmethod
    def _each_once(cls, values: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(sorted(set(values)))

    @field_validator("date", mode="before")
    @classmethod
    def _calendar_day(cls, value: object) -> object:
        if value is None or isinstance(value, dt.date):
            return value
        try:
            if isinstance(value, str) and _DATE.fullmatch(value):
                return dt.date.fromisoformat(value)
        except ValueError:
            pass
        raise misfit("date", f"{echo(value)} is not a date", DATE_FORM)

    @field_validator("start", mode="before")
    @classmethod
    def _local_time(cls, value: object) -> object:
        if value is None or isinstance(value, dt.time):
            return value
        if isinstance(value, str) and re.fullmatch(LOCAL_TIME, value) and value.isprintable():
            return dt.time.fromisoformat(value)
        raise misfit("start", f"{echo(value)} is not a time", TIME_FORM)

    @field_validator("timezone")
    @classmethod
    def _known_timezone(cls, name: str | None) -> str | None:
        if name is not None and name not in timezones():
            raise misfit("timezone", "no such time zone", "an IANA name such as Europe/Rome")
        return name

    @field_validator("place")
    @classmethod
    def _known_place(cls, name: str | None) -> str | None:
        if name is not None and not _is_visible(name):
            raise misfit(
                "place", f"{echo(name)} holds characters that cannot be seen", "letters, figures, spaces and marks"
            )
        if name is not None and find_place(name) is None:
            raise misfit(
                "place",
                f"no city called {echo(name)} is known",
                "a city of 15,000 people or more, with its country after a comma; or coordinates",
            )
        return name

    @field_validator("weather")
    @classmethod
    def _readable_weather(cls, text: str | None) -> str | None:
        if text is not None:
            try:
                read_forecast(text)
            except BadForecast as problem:
                raise misfit("weather", str(problem), f"two lines or more: {COLUMNS}") from None
        return text

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if self.air_low_c is not None and self.air_low_c > self.air_high_c:
            raise misfit("air_low_c", "is above the day's high", f"at most {self.air_high_c:g}")
        if not self.tiers and not self.cupcakes:
            raise misfit("tiers", "there is no cake", "at least one tier, or some cupcakes")
        for number, (lower, upper) in enumerate(zip(self.tiers, self.tiers[1:], strict=False), start=1):
            if upper.width_cm > lower.width_cm:
                raise misfit(
                    f"tiers.{number}.width_cm",
                    "is wider than the tier below it",
                    f"at most {lower.width_cm:g}; tiers are listed bottom first",
                )
        for number, tier in enumerate(self.tiers):
            if tier.depth_cm is None:
                continue
            if tier.shape != "rectangle":
                raise misfit(f"tiers.{number}.depth_cm", f"is given for a {tier.shape} tier", "only for a rectangle")
            if tier.depth_cm > tier.width_cm:
                raise misfit(f"tiers.{number}.depth_cm", "is more than the longer side", f"at most {tier.width_cm:g}")
        if self.start is not None and self.start.tzinfo is not None:
            raise misfit("start", "has a time zone", "a local time such as 15:00")
        names = [own.name.casefold() for own in self.own_formulas]
        if len(set(names)) < len(names):
            raise misfit("own_formulas", "two of them have the same name", "a name of its own for each")
        if (self.latitude is None) != (self.longitude is None):
            missing = "longitude" if self.longitude is None else "latitude"
            raise misfit(missing, "is missing", "latitude and longitude together, or neither")
        return self

    @property
    def is_outdoors(self) -> bool:
        """Whether the air follows the day."""
        return self.setting in OUTDOORS

    @property
    def low_c(self) -> float:
        """The day's coolest air [°C], as given or as taken."""
        if self.air_low_c is not None:
            return self.air_low_c
        return self.air_high_c - DAY_SWING_K if self.is_outdoors else self.air_high_c

    @property
    def wind(self) -> float:
        """Air speed at the cake [m/s], as given or as taken."""
        if self.wind_mps is not None:
            return self.wind_mps
        return OUTDOOR_WIND_MPS if self.is_outdoors else INDOOR_WIND_MPS

    @property
    def site(self) -> Place | None:
        """Where the event is, or none when neither a place nor coordinates are given."""
        if self.place is not None:
            return find_place(self.place)
        if self.latitude is None or self.longitude is None:
            return None
        zone = self.timezone or nearest_timezone(self.latitude, self.longitude)
        return Place("", self.latitude, self.longitude, zone)

    @property
    def forecast(self) -> tuple[Hour, ...]:
        """The forecast by the hour; empty when none was given."""
        return () if self.weather is None else read_forecast(self.weather)

    @property
    def warmest_c(self) -> float:
        """The warmest air [°C] that the brief speaks of: of its forecast where it has one, else as given."""
        if self.is_outdoors and self.forecast:
            return max(hour.air_c for hour in self.forecast)
        return self.air_high_c

    @property
    def start_time(self) -> dt.time:
        """Local time at which the display starts."""
        return self.start or dt.time(15, 0)

    @property
    def travel_air_c(self) -> float:
        """Air around the boxed cake on the way [°C]."""
        return CAR_AIR_C if self.travel_c is None else self.travel_c

    def event_date(self, today: dt.date) -> dt.date:
        """The day of the event, or the next midsummer Saturday from ``today``."""
        return self.date if self.date is not None else next_midsummer_saturday(today)


@lru_cache(maxsize=1)
def timezones() -> frozenset[str]:
    """Return the IANA names of time zones that mean the same on every machine."""
    return frozenset(name for name in available_timezones() if not name.startswith(_NO_PLACES))


def _visible(field: str, text: str) -> str:
    if not text.strip() or not _is_visible(text):
        raise misfit(field, f"{echo(text)} holds nothing that can be seen, or characters that cannot", "a plain text")
    return " ".join(text.split())


def _is_visible(text: str) -> bool:
    # Spaces of other widths do no harm; marks that turn the direction of writing do.
    return all(c.isprintable() or unicodedata.category(c) == "Zs" for c in text)


def next_midsummer_saturday(today: dt.date) -> dt.date:
    """Return the first Saturday on or after 21 June that is not before ``today``."""
    for year in (today.year, today.year + 1):
        solstice = dt.date(year, 6, 21)
        saturday = solstice + dt.timedelta(days=(5 - solstice.weekday()) % 7)
        if saturday >= today:
            return saturday
    raise AssertionError("next year's midsummer is never in the past")


def read_brief(text: str | bytes) -> Brief:
    """Read a brief from JSON.

    Raises
    ------
    BriefError
        With a problem for each field that is unknown, of the wrong type or out of range; the first twenty.
    """
    try:
        return Brief.model_validate_json(text)
    except ValidationError as error:
        raise BriefError(tuple(_problem(dict(detail)) for detail in error.errors()[:MOST_PROBLEMS])) from None


def _problem(detail: Mapping[str, Any]) -> FieldProblem:
    location = detail["loc"]
    in_row = len(location) > 1
    if in_row and location[0] == "own_formulas":
        return problem_of(detail, OwnFormula.model_fields)
    return problem_of(detail, Tier.model_fields if in_row and location[0] == "tiers" else Brief.model_fields)
