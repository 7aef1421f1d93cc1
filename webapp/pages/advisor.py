"""The one use case that pages and API call, as a callable, so that pages can be tried on any advice."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import cast

from flask import current_app

from webapp.advice.brief import Brief
from webapp.advice.contract import Advice
from webapp.advice.heat_map import HeatMap, heat_map
from webapp.advice.service import Advisor as Service
from webapp.advice.wording import write_advice
from webapp.catalogue.model import Catalogue
from webapp.units import Measures

Advisor = Callable[[Brief, Measures], Advice]
Mapper = Callable[[Brief], HeatMap | None]


def advisor_of(catalogue: Catalogue) -> Advisor:
    """Bind the advice to a catalogue; the clock is read here, at the border."""
    service = Service(catalogue)

    def advise_as(brief: Brief, measures: Measures) -> Advice:
        return write_advice(service.advise(brief, dt.date.today()), measures)

    return advise_as


def mapper_of(catalogue: Catalogue) -> Mapper:
    """Bind the map of air against hours to a catalogue."""
    service = Service(catalogue)
    return lambda brief: heat_map(service, brief, dt.date.today())


def current_mapper() -> Mapper:
    return cast(Mapper, current_app.extensions["mapper"])


def current_advisor() -> Advisor:
    return cast(Advisor, current_app.extensions["advisor"])


def current_catalogue() -> Catalogue:
    return cast(Catalogue, current_app.extensions["catalogue"])
