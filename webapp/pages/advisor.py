"""The one use case that pages and API call, as a callable, so that pages can be tried on any advice."""

from __future__ import annotations

import datetime as dt
from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock, RLock
from typing import Generic, TypeVar, cast

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
KEPT, KEPT_MAPS = 32, 8
Answer = TypeVar("Answer")


# Python runs one thread at a time, and solvers that take turns within every few milliseconds hold each other up.
_TURN = RLock()


class Recent(Generic[Answer]):
    """The last answers by their questions: a page, its picture and a step back ask for the same one.

    Answers of one process are worked out one after the other, whoever asks; what is kept is given at once.
    """

    def __init__(self, kept: int) -> None:
        self._most = kept
        self._kept: OrderedDict[Hashable, Answer] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, work_out: Callable[[], Answer]) -> Answer:
        """Return what is kept for a question, else work it out and keep it."""
        known = self._known(key)
        if not known:
            with _TURN:
                known = self._known(key)  # whoever had the turn before may have asked the same
                if not known:
                    known = [work_out()]
                    self._keep(key, known[0])
        return known[0]

    def forget(self) -> None:
        """Drop all answers, so that the next one is worked out anew."""
        with self._lock:
            self._kept.clear()

    def _known(self, key: Hashable) -> list[Answer]:
        with self._lock:
            if key not in self._kept:
                return []
            self._kept.move_to_end(key)
            return [self._kept[key]]

    def _keep(self, key: Hashable, answer: Answer) -> None:
        with self._lock:
            self._kept[key] = answer
            self._kept.move_to_end(key)
            if len(self._kept) > self._most:
                self._kept.popitem(last=False)


def _given(brief: Brief) -> str:
    # What was given counts, not only what holds: the advice tells what it assumed.
    return brief.model_dump_json(exclude_unset=True)


class RecentAdvice:
    """An advisor that remembers its last answers."""

    def __init__(self, advise: Callable[[Brief, Measures, dt.date], Advice], kept: int = KEPT) -> None:
        self._advise, self._recent = advise, Recent[Advice](kept)

    def __call__(self, brief: Brief, measures: Measures) -> Advice:
        today = dt.date.today()  # the clock is read here, at the border
        key = (_given(brief), measures.name, today)
        return self._recent.get(key, lambda: self._advise(brief, measures, today))

    def forget(self) -> None:
        """Drop all answers, so that the next one is worked out anew."""
        self._recent.forget()


class RecentMaps:
    """A mapper that remembers its last maps, and that there was none to draw."""

    def __init__(self, draw: Callable[[Brief, dt.date], HeatMap | None], kept: int = KEPT_MAPS) -> None:
        self._draw, self._recent = draw, Recent[HeatMap | None](kept)

    def __call__(self, brief: Brief) -> HeatMap | None:
        today = dt.date.today()
        return self._recent.get((_given(brief), today), lambda: self._draw(brief, today))


def advisor_of(service: Service) -> Advisor:
    """Bind the advice to a catalogue by its service."""
    return RecentAdvice(lambda brief, measures, today: write_advice(service.advise(brief, today), measures))


def mapper_of(service: Service) -> Mapper:
    """Bind the map of air against hours to the same service."""
    return RecentMaps(lambda brief, today: heat_map(service, brief, today))


def current_mapper() -> Mapper:
    return cast(Mapper, current_app.extensions["mapper"])


def current_advisor() -> Advisor:
    return cast(Advisor, current_app.extensions["advisor"])



def current_catalogue() -> Catalogue:
    return cast(Catalogue, current_app.extensions["catalogue"])
