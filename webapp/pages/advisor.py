"""The one use case that pages and API call, as a callable, so that pages can be tried on any advice."""

from __future__ import annotations

import datetime as dt
from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
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
KEPT = 32


class RecentAdvice:
    """An advisor that remembers its last answers: a page, its picture and a step back ask for the same one."""

    def __init__(self, advise: Callable[[Brief, Measures, dt.date], Advice], kept: int = KEPT) -> None:
        self._advise, self._most = advise, kept
        self._kept: OrderedDict[tuple[str, str, dt.date], Advice] = OrderedDict()
        self._lock = Lock()

    def __call__(self, brief: Brief, measures: Measures) -> Advice:
        today = dt.date.today()  # the clock is read here, at the border
        # What was given counts, not only what holds: the advice tells what it assumed.
        key = (brief.model_dump_json(exclude_unset=True), measures.name, today)
        with self._lock:
            advice = self._kept.get(key)
        # Two may work out the same at once; neither waits for the other's solver.
        advice = self._advise(brief, measures, today) if advice is None else advice
        self._keep(key, advice)
        return advice

    def forget(self) -> None:
        """Drop all answers, so that the next one is worked out anew."""
        with self._lock:
            self._kept.clear()

    def _keep(self, key: tuple[str, str, dt.date], advice: Advice) -> None:
        with self._lock:
            self._kept[key] = advice
            self._kept.move_to_end(key)
            if len(self._kept) > self._most:
                self._kept.popitem(last=False)


def advisor_of(catalogue: Catalogue) -> Advisor:
    """Bind the advice to a catalogue."""
    service = Service(catalogue)
    return RecentAdvice(lambda brief, measures, today: write_advice(service.advise(brief, today), measures))


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
