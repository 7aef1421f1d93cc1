"""What happened on the day, noted by the decorator and read by formulation."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass

from sqlalchemy import func, select

from webapp.errors import FieldProblem
from webapp.records.columns import JsonObject, utc_now
from webapp.records.errors import NoSuchRecord, RecordRefused
from webapp.records.model import Consultation, Outcome, new_id
from webapp.records.storage import Storage
from webapp.records.texts import clean_remark

LONGEST_H = 48.0


@dataclass(frozen=True, slots=True)
class Note:
    """What was seen of one coat.

    Either ``softened_h``, hours on the table until its look was lost, or ``held_h``, hours until it was cut with
    its look kept. ``look`` says which: the finish and piping it was made with. ``weather`` is as it was. ``coat_c``
    with its 5th and 95th percentile [°C] is what the heat model gives for that weather: the coat's temperature when
    it softened, or its peak until it was cut.
    """

    formulation: str
    look: str
    weather: JsonObject
    held_h: float | None = None
    softened_h: float | None = None
    coat_c: float | None = None
    coat_low_c: float | None = None
    coat_high_c: float | None = None
    remark: str = ""


class Outcomes:
    """The notes of one shop."""

    def __init__(self, storage: Storage, now: Callable[[], dt.datetime] = utc_now) -> None:
        self._storage = storage
        self._now = now

    def add(self, consultation_id: str, note: Note) -> Outcome:
        """Keep a note on a consultation's event.

        Raises
        ------
        RecordRefused
            If it says neither or both of when it softened and that it held, or a number is out of range.
        NoSuchRecord
            If there is no such consultation.
        """
        checked = _checked(note)
        moment = self._now()
        kept = Outcome(id=new_id(), consultation_id=consultation_id, created_at=moment, updated_at=moment)
        _fill(kept, checked)
        with self._storage.writing() as session:
            if session.get(Consultation, consultation_id) is None:
                raise NoSuchRecord("There is no such consultation.")
            session.add(kept)
        return kept

    def change(self, id: str, note: Note) -> Outcome:
        """Replace a note; raises as :meth:`add` does."""
        checked = _checked(note)
        with self._storage.writing() as session:
            kept = session.get(Outcome, id)
            if kept is None:
                raise NoSuchRecord("There is no such note.")
            _fill(kept, checked)
            kept.updated_at = self._now()
        return kept

    def remove(self, id: str) -> None:
        """Remove a note for good."""
        with self._storage.writing() as session:
            kept = session.get(Outcome, id)
            if kept is None:
                raise NoSuchRecord("There is no such note.")
            session.delete(kept)

    def of_consultation(self, consultation_id: str) -> Sequence[Outcome]:
        """Return the notes on one event, oldest first."""
        asked = select(Outcome).where(Outcome.consultation_id == consultation_id)
        with self._storage.reading() as session:
            return session.scalars(asked.order_by(Outcome.created_at, Outcome.id)).all()

    def of_formulation(self, formulation: str) -> Sequence[Outcome]:
        """Return the notes on one formulation, oldest first."""
        asked = select(Outcome).where(Outcome.formulation == formulation)
        with self._storage.reading() as session:
            return session.scalars(asked.order_by(Outcome.created_at, Outcome.id)).all()

    def counts(self) -> Mapping[str, int]:
        """Return how many notes there are on each formulation that has any."""
        asked = select(Outcome.formulation, func.count()).group_by(Outcome.formulation).order_by(Outcome.formulation)
        with self._storage.reading() as session:
            return {formulation: count for formulation, count in session.execute(asked)}


def _fill(kept: Outcome, note: Note) -> None:
    for name, value in asdict(note).items():
        setattr(kept, name, value)


def _checked(note: Note) -> Note:
    if (note.held_h is None) == (note.softened_h is None):
        allowed = "either the hours it held until it was cut, or the hours until it softened"
        raise RecordRefused(FieldProblem("softened_h", "says neither or both of what can have happened", allowed))
    for name in ("held_h", "softened_h"):
        _check_range(name, getattr(note, name), 0.0, LONGEST_H)
    coat = (note.coat_low_c, note.coat_c, note.coat_high_c)
    for value in coat:
        _check_range("coat_c", value, -20.0, 100.0)
    given = [value for value in coat if value is not None]
    if len(given) not in (0, 3) or given != sorted(given):
        raise RecordRefused(FieldProblem("coat_c", "is not within its own range", "low, likely and high, or none"))
    fields = {name: getattr(note, name) for name in Note.__slots__}
    return Note(**fields | {"remark": clean_remark("remark", note.remark)})


def _check_range(field: str, value: float | None, least: float, most: float) -> None:
    if value is not None and not (math.isfinite(value) and least <= value <= most):
        raise RecordRefused(FieldProblem(field, f"is {value:g}", f"{least:g} to {most:g}"))
