"""What may be chosen of a kitchen plan beside the brief; every field may be left out."""

from __future__ import annotations

import datetime as dt
import re
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from webapp.advice.brief import LOCAL_TIME, Whole
from webapp.advice.brief_problems import MOST_PROBLEMS, TIME_FORM, echo, misfit, problem_of
from webapp.errors import BriefError
from webapp.kitchen.shopping import Pack

Rosettes = Literal["side", "edge"]
Slice = Literal["wedding", "party"]
Swirl = Literal["low", "medium", "tall"]
EggSize = Literal["small", "medium", "large", "extra-large", "jumbo"]
Currency = Literal["EUR", "GBP", "USD", "CAD", "AUD", "NZD", "CHF", "INR", "ZAR", "JPY"]
PRICE_FORM = "an ingredient, what a pack holds and its price, as in butter:250:3.20"
_PRICE = re.compile(r"([a-z0-9-]{1,40}):([0-9]{1,6}(?:\.[0-9]{1,4})?):([0-9]{1,7}(?:\.[0-9]{1,4})?)")


class PlanOptions(BaseModel):
    """How the kitchen works, where it differs from what is usual."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)

    coat: Annotated[str | None, Field(max_length=80, description="formulation outside; the advised one")] = None
    filling: Annotated[str | None, Field(max_length=80, description="formulation inside; the advised one")] = None
    allowance_pct: Annotated[
        float | None, Field(ge=0, le=60, description="made beyond what stays on the cake: bowl, bags, trimming")
    ] = None
    filling_mm: Annotated[float | None, Field(ge=2, le=25, description="thickness of each filling")] = None
    crumb_mm: Annotated[float | None, Field(ge=0.5, le=6, description="crumb coat, part of the coat")] = None
    bowl_l: Annotated[float | None, Field(ge=1, le=80, description="the mixer's bowl")] = None
    rosettes: Annotated[
        Rosettes, Field(description="where rosettes are piped: all over the side, or top edge alone")
    ] = "side"
    swirl: Annotated[Swirl, Field(description="height of the swirl on cupcakes")] = "medium"
    egg_size: Annotated[EggSize, Field(description="by the US scale")] = "large"
    slice: Annotated[Slice, Field(description="size of a slice")] = "wedding"
    guests: Annotated[Whole | None, Field(ge=1, le=5000)] = None
    currency: Annotated[Currency, Field(description="printed beside prices; nothing is converted")] = "EUR"
    price: Annotated[tuple[str, ...], Field(max_length=60, description=PRICE_FORM)] = ()
    work_from: Annotated[dt.time | None, Field(description="work in the kitchen begins")] = None
    work_to: Annotated[dt.time | None, Field(description="work in the kitchen ends")] = None
    fridge_tiers: Annotated[Whole | None, Field(ge=0, le=20, description="how many tiers the fridge takes")] = None
    days_ahead: Annotated[Whole | None, Field(ge=0, le=14, description="how many days before work may begin")] = None

    @field_validator("work_from", "work_to", mode="before")
    @classmethod
    def _clock(cls, value: object, info: object) -> object:
        if value is None or isinstance(value, dt.time):
            return value
        if isinstance(value, str) and re.fullmatch(LOCAL_TIME, value):
            return dt.time.fromisoformat(value)
        raise misfit(getattr(info, "field_name", ""), f"{echo(value)} is not a time", TIME_FORM)

    @field_validator("price")
    @classmethod
    def _prices(cls, entered: tuple[str, ...]) -> tuple[str, ...]:
        for text in entered:
            if not (read := _PRICE.fullmatch(text)) or float(read[2]) <= 0:
                raise misfit("price", f"{echo(text)} is not a price", PRICE_FORM)
        return entered

    @property
    def packs(self) -> dict[str, Pack]:
        """Packs and prices of one's own, by ingredient; the last of several counts."""
        read = (_PRICE.fullmatch(text) for text in self.price)
        return {each[1]: Pack(float(each[2]), float(each[3])) for each in read if each}


def read_options(text: str | bytes) -> PlanOptions:
    """Read options from JSON.

    Raises
    ------
    BriefError
        With a problem for each field that is unknown, of the wrong type or out of range.
    """
    try:
        return PlanOptions.model_validate_json(text)
    except ValidationError as error:
        problems = (problem_of(dict(detail), PlanOptions.model_fields) for detail in error.errors()[:MOST_PROBLEMS])
        raise BriefError(tuple(problems)) from None
