"""The advice of this shop: ours, or with the softening temperatures that its events taught and its owner switched on.

Nothing is switched on unless someone did it here, so the same brief gives the same numbers everywhere else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import cast

from flask import Flask, current_app

from webapp.advice.brief import Brief
from webapp.advice.contract import Advice
from webapp.advice.heat_map import HeatMap
from webapp.advice.learnt import CoatTemperature, Compared, Event, Posterior, compare
from webapp.advice.service import Advisor as Service
from webapp.pages.advisor import Recent, advisor_of, mapper_of
from webapp.pages.shop import records_if_any
from webapp.records.errors import StorageError
from webapp.records.model import Outcome
from webapp.records.opening import Records
from webapp.units import Measures

SETTING = "learnt softening"  # the ids of the formulations for which what was learnt is used
KEPT_SERVICES = 4
Learnt = tuple[tuple[str, Posterior], ...]


def events_of(notes: Iterable[Outcome]) -> list[Event]:
    """List what notes say of the softening temperature; one without the coat's temperature says nothing of it."""
    return [
        Event(note.look, note.held_h is not None, CoatTemperature(note.coat_c, note.coat_low_c, note.coat_high_c))
        for note in notes
        if note.coat_c is not None and note.coat_low_c is not None and note.coat_high_c is not None
    ]


class Bound:
    """One service with the answers it gave last."""

    def __init__(self, service: Service) -> None:
        self.service = service
        self.advise, self.draw = advisor_of(service), mapper_of(service)


class ShopAdvice:
    """Asks before each answer what is switched on, so that a change counts at once and for every worker."""

    def __init__(self, ours: Service, app: Flask) -> None:
        self._ours, self._app = Bound(ours), app
        self._taught = Recent[Bound](KEPT_SERVICES)

    def __call__(self, brief: Brief, measures: Measures) -> Advice:
        return self._now().advise(brief, measures)

    def draw(self, brief: Brief) -> HeatMap | None:
        return self._now().draw(brief)

    def service(self) -> Service:
        return self._now().service

    def compared(self, formulation: str, notes: Iterable[Outcome]) -> Compared | None:
        """Hold our softening temperature against that of some notes; none for a formulation that is not ours."""
        ours = self._ours.service
        known = ours.catalogue.formulations.get(formulation)
        return None if known is None else compare(known, events_of(notes), ours.softness, ours.catalogue)

    def forget(self) -> None:
        """Drop all answers, so that the next one is worked out anew."""
        self._ours = Bound(self._ours.service)
        self._taught.forget()

    def _now(self) -> Bound:
        learnt = self._learnt()
        if not learnt:
            return self._ours
        return self._taught.get(learnt, lambda: Bound(self._ours.service.learning(dict(learnt))))

    def _learnt(self) -> Learnt:
        try:
            records = records_if_any(self._app)
            return () if records is None else self._switched_on(records)
        except StorageError as error:
            # The advice itself says what it learnt, and then it says nothing of the kind.
            self._app.logger.warning("what was learnt cannot be read: %s", type(error).__name__)
            return ()

    def _switched_on(self, records: Records) -> Learnt:
        learnt = []
        for formulation in used_here(records):
            found = self.compared(formulation, records.outcomes.of_formulation(formulation))
            if found is not None and found.yours.events:
                learnt.append((formulation, found.yours))
        return tuple(learnt)


def used_here(records: Records) -> Sequence[str]:
    """List the formulations for which what was learnt is used, in one order."""
    kept = records.settings.get(SETTING, [])
    return sorted(each for each in kept if isinstance(each, str)) if isinstance(kept, list) else []


def use_learnt(records: Records, formulation: str, is_on: bool) -> None:
    """Switch what was learnt of a formulation on or off."""
    others = {*used_here(records)} - {formulation}
    records.settings.put(SETTING, sorted(others | {formulation} if is_on else others))


def shop_advice() -> ShopAdvice:
    return cast(ShopAdvice, current_app.extensions["shop advice"])


def current_service() -> Service:
    """Return what answers in this shop: with what its events taught where that is switched on."""
    return shop_advice().service()
