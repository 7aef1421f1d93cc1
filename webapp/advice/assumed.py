"""What a brief did not say, and what was taken for it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from webapp.advice.brief import Brief
from webapp.advice.contract import AssumedOut
from webapp.advice.phrases import sentence
from webapp.units import Measures, duration

_SUN_IS_HIGH = dt.time(13)  # as thermal.sun has it for an unknown place
_TEXTS = {
    "supported": "Every upper tier stands on its own board and dowels.",
    "cake_sweetness": "The sponge is medium sweet.",
    "sweetness": "The client likes the whole cake medium sweet.",
    "piping": "The piping is borders of beads.",
    "finish": "The finish of the coat is smooth.",
    "colour": "The coat is white.",
    "sponge": "The sponge is a butter sponge.",
    "diet": "No allergy or diet is named: ask the client.",
    "equipment": "A stand mixer and a thermometer are at hand.",
}
_TEXTS_OF_CUPCAKES = {
    "sweetness": "The client likes the whole cupcake medium sweet.",
    "piping": "Each cupcake has a plain piped swirl.",
}

_SPONGE_UNDER_A_DIET = "The sponge is as dense as a butter sponge; its recipe is yours: check it against the diet too."


def assumptions(brief: Brief, today: dt.date, measures: Measures) -> Iterator[AssumedOut]:
    """Yield each field that matters here and was not given, a diet naming nothing, and a day that cannot be meant."""
    given = brief.model_fields_set
    for field, taken, text in (*_weather(brief, measures), *_event(brief, today, measures), *_cake(brief, measures)):
        if field not in given:
            yield AssumedOut(field=field, taken=taken, text=text)
    if brief.date is not None and brief.date < today:
        text = "The day is past: the advice is worked out for it all the same."
        yield AssumedOut(field="date", taken=brief.date.isoformat(), text=text)
    if brief.place is not None and brief.site is not None:
        found = brief.site.name
        text = f"The place is {found}. If another is meant, add its state or country after a comma."
        yield AssumedOut(field="place", taken=found, text=text)
    texts = _TEXTS if brief.tiers else _TEXTS | _TEXTS_OF_CUPCAKES
    if brief.diet:
        texts = texts | {"sponge": _SPONGE_UNDER_A_DIET}
    for field, text in texts.items():
        # A form sends an empty list where no box was ticked: nobody need have asked.
        is_open = field not in given or (field == "diet" and not brief.diet)
        if is_open and _is_of_use(field, brief):
            yield AssumedOut(field=field, taken=_plain(getattr(brief, field)), text=text)


def _is_of_use(field: str, brief: Brief) -> bool:
    """Tell whether a field says something of this cake: one tier rests on no other, a swirl has no sides."""
    least_tiers = {"supported": 2, "finish": 1}
    return len(brief.tiers) >= least_tiers.get(field, 0)


def _cake_that(brief: Brief, does: str, do: str) -> str:
    return f"the cake {does}" if brief.tiers else f"the cupcakes {do}"


def _weather(brief: Brief, measures: Measures) -> Iterator[tuple[str, str, str]]:
    yield "setting", "indoors", sentence(f"{_cake_that(brief, 'stands', 'stand')} indoors")
    hours = brief.forecast if brief.is_outdoors else ()
    if not hours:
        yield from _air(brief, measures)
    if brief.is_outdoors and not (hours and all(hour.wind_mps is not None for hour in hours)):
        yield "wind_mps", f"{brief.wind:g}", "There is a light breeze."
    if not (hours and all(hour.humidity_pct is not None for hour in hours)):
        yield "humidity_pct", f"{brief.humidity_pct:g}", "Humidity is 50 % at the warmest time."


def _air(brief: Brief, measures: Measures) -> Iterator[tuple[str, str, str]]:
    high = measures.temperature(brief.air_high_c)
    yield "air_high_c", f"{brief.air_high_c:g}", f"The air is {high} at the warmest."
    if brief.is_outdoors:
        low = measures.temperature(brief.low_c)
        yield "air_low_c", f"{brief.low_c:g}", f"The night cools to {low}."


def _event(brief: Brief, today: dt.date, measures: Measures) -> Iterator[tuple[str, str, str]]:
    yield (
        "hold_hours",
        f"{brief.hold_hours:g}",
        sentence(f"{_cake_that(brief, 'is', 'are')} on display for {duration(brief.hold_hours)}"),
    )
    if brief.is_outdoors:
        day = brief.event_date(today)
        yield "date", day.isoformat(), f"The day is {measures.date(day)}."
        yield "start", f"{brief.start_time:%H:%M}", f"The display starts at {measures.clock(brief.start_time)}."
    if brief.setting == "sun":
        if brief.site is None:
            high = measures.clock(_SUN_IS_HIGH)
            yield "latitude", "overhead", f"No place was given: the sun is high overhead at {high}."
        yield "cloud_pct", "0", "The sky is clear."
    if not brief.travel_minutes:
        yield (
            "travel_minutes",
            "0",
            f"No drive was mentioned: {_cake_that(brief, 'goes', 'go')} straight to the table.",
        )
    elif brief.travel_c is None:
        yield (
            "travel_c",
            f"{brief.travel_air_c:g}",
            "The car is air-conditioned, about as warm as a normal room.",
        )


def _cake(brief: Brief, measures: Measures) -> Iterator[tuple[str, str, str]]:
    start = measures.temperature(brief.start_c)
    leaves = _cake_that(brief, "leaves", "leave")
    yield "start_c", f"{brief.start_c:g}", sentence(f"{leaves} the fridge at {start}")
    tier = brief.tiers[0] if brief.tiers else None
    if tier is not None:
        size = f"{measures.length(tier.width_cm)} across and {measures.length(tier.height_cm)} high"
        yield "tiers", "1", f"There is one round tier, {size}, with {tier.layers} layers."
        thick = measures.thickness(brief.coat_mm)
        yield "coat_mm", f"{brief.coat_mm:g}", f"The coat is {thick} thick."


def _plain(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(str, value)) or "none"
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)
