"""The alternatives as arrays: coats down the rows, fillings across, each number with its range."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from webapp.catalogue.model import Fact
from webapp.decision.eggs import are_parts_of_same_eggs, shell_egg_parts
from webapp.decision.model import Candidate, Situation

Array = NDArray[np.float64]
FactKey = tuple[str, str]

EVENT = "event"


class Read(NamedTuple):
    """A number that a criterion reads: of the coat, of the filling, or one that all alternatives share."""

    of: Literal["coat", "filling", "shared"]
    name: str
    subject: str = ""


class Grid:
    """Coats and fillings in a situation, with every number that a criterion reads as a broadcastable array.

    A coat's number has the shape (coats, 1), a filling's (1, fillings), a shared one (1, 1).
    """

    def __init__(
        self, coats: Sequence[Candidate], fillings: Sequence[Candidate], situation: Situation
    ) -> None:
        self.coats = tuple(coats)
        self.fillings = tuple(fillings)
        self.situation = situation
        self.is_same = np.array([[c.id == f.id for f in self.fillings] for c in self.coats], dtype=bool)
        self.shares_eggs = _shared_eggs(self.coats, self.fillings)
        self._facts: dict[Read, tuple[Fact, ...]] = {}
        self._numbers: dict[Read, Array] = {}
        self._swept: tuple[Read, ...] = ()

    def swept(self, reads: tuple[Read, ...]) -> Grid:
        """Return the same alternatives once for each end of each reading, which alone is moved there.

        The numbers of those readings gain an axis in front: of the low ends in their order, then of the high ends.
        """
        other = object.__new__(Grid)
        other.__dict__.update(self.__dict__)
        other._swept = reads
        return other

    def number(self, read: Read) -> Array:
        """Return one reading of all alternatives."""
        table = self._table(read)
        if read not in self._swept:
            return np.asarray(table[0])
        place, count = self._swept.index(read), len(self._swept)
        ends = np.repeat(table[:1], 2 * count, axis=0)
        ends[place], ends[count + place] = table[1:]
        return ends

    def coat(self, name: str) -> Array:
        """Return one number of each coat, shape (coats, 1)."""
        return self.number(Read("coat", name))

    def filling(self, name: str) -> Array:
        """Return one number of each filling, shape (1, fillings)."""
        return self.number(Read("filling", name))

    def shared(self, name: str, subject: str = "") -> Array:
        """Return a number that all alternatives share, shape (1, 1)."""
        return self.number(Read("shared", name, subject))

    def facts(self, read: Read) -> tuple[Fact, ...]:
        """Return the facts behind one reading: one for each coat, for each filling, or a single one."""
        if read not in self._facts:
            self._facts[read] = self._find(read)
        return self._facts[read]

    def fact(self, read: Read, row: int, column: int) -> Fact:
        """Return the fact behind one reading of one pairing."""
        facts = self.facts(read)
        return facts[{"coat": row, "filling": column, "shared": 0}[read.of]]

    def is_certain(self, read: Read) -> bool:
        """Whether no alternative has a range in this reading."""
        value, low, high = self._table(read)
        return bool(np.all(low == value) and np.all(high == value))

    def _find(self, read: Read) -> tuple[Fact, ...]:
        if read.of == "coat":
            return tuple(candidate_fact(coat, read.name) for coat in self.coats)
        if read.of == "filling":
            return tuple(candidate_fact(filling, read.name) for filling in self.fillings)
        if read.name == "wanted_sweetness":
            return (self.situation.wanted_sweetness,)
        if read.name == "sponge_sweetness":
            return (self.situation.sponge_sweetness,)
        return (self.situation.requirements[read.subject, read.name],)

    def _table(self, read: Read) -> Array:
        if read not in self._numbers:
            rows = [(fact.value, fact.low, fact.high) for fact in self.facts(read)]
            table = np.array(rows, dtype=np.float64).T
            shape = (3, 1, -1) if read.of == "filling" else (3, -1, 1)
            self._numbers[read] = table.reshape(shape)
        return self._numbers[read]


def candidate_fact(candidate: Candidate, name: str) -> Fact:
    """Return a property of a candidate; ``threshold``, ``peak``, ``hold`` and ``needed`` come from its hold.

    The first two are in °C, the others in h. They were computed from the softening temperatures, so they cite
    the same source.
    """
    hold, softens = candidate.hold, candidate.facts.get("softens")
    match name:
        case "threshold":
            numbers = (hold.threshold_c, hold.threshold_low_c, hold.threshold_high_c)
        case "peak":
            numbers = (hold.peak_c, hold.peak_low_c, hold.peak_high_c)
        case "hold":
            numbers = (hold.likely_h, hold.low_h, hold.high_h)
        case "needed":
            numbers = (hold.needed_h, hold.needed_h, hold.needed_h)
        case _:
            return candidate.facts[name]
    if softens is None:
        raise KeyError("softens")
    unit = "C" if name in ("threshold", "peak") else "h"
    # What coats share has one subject, so that it cancels between them: a family's fat, the event's heat.
    subject = {"threshold": softens.subject, "peak": EVENT}.get(name, candidate.id)
    return Fact(
        subject, name, *numbers, unit, "computed", softens.source, softens.locator, softens.checked_on
    )


def _shared_eggs(coats: Sequence[Candidate], fillings: Sequence[Candidate]) -> NDArray[np.bool_]:
    of_coats = [shell_egg_parts(coat.formulation) for coat in coats]
    of_fillings = [shell_egg_parts(filling.formulation) for filling in fillings]
    table = [[are_parts_of_same_eggs(c, f) for f in of_fillings] for c in of_coats]
    return np.array(table, dtype=bool)
