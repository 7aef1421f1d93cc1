"""What a decision reads and what it records; plain data, no files, no physics, no pages.

A *candidate* is a formulation with everything the criteria may read of it. A *situation* is the brief and the
cake in numbers. The advice layer fills both in; this package only judges them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from webapp.catalogue.model import Fact, Formulation

HoldClass = Literal["holds", "marginal", "fails"]
HOLDS_FROM = 0.9
MARGINAL_FROM = 0.5


@dataclass(frozen=True, slots=True)
class HoldFacts:
    """How long one coat keeps its look, computed elsewhere from the same seeded draws for every coat.

    Temperatures in °C, times in h. ``stands`` has one entry a draw: whether the coat holds as long as needed.
    """

    needed_h: float
    likely_h: float
    low_h: float
    high_h: float
    chance: float
    peak_c: float
    threshold_c: float
    threshold_low_c: float
    threshold_high_c: float
    stands: NDArray[np.bool_]
    peak_low_c: float = float("nan")
    peak_high_c: float = float("nan")

    @property
    def hold_class(self) -> HoldClass:
        """The class that precedence ranks by."""
        if self.chance >= HOLDS_FROM:
            return "holds"
        return "marginal" if self.chance >= MARGINAL_FROM else "fails"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A formulation as the criteria see it.

    ``facts`` holds each property by its name, the formulation's own or its family's, and what was computed
    from the formula (``sweetness`` and ``fat`` in g per 100 g, ``density`` in g/mL …) as facts with basis
    ``computed``.
    """

    formulation: Formulation
    facts: Mapping[str, Fact]
    hold: HoldFacts

    @property
    def id(self) -> str:
        """The formulation's id."""
        return self.formulation.id


@dataclass(frozen=True, slots=True)
class Situation:
    """The brief and the cake, in the numbers that criteria and limits read.

    Masses in g, volumes in mL. ``load_kpa`` is the pressure of the tiers above on the lowest filling when
    nothing supports them (0 with one tier); ``is_supported`` says whether boards and dowels carry it
    instead. ``wanted_sweetness`` and ``sponge_sweetness`` are sucrose equivalents in g per 100 g.
    ``requirements`` holds what the brief's choices ask of a formulation, by (subject, property), such as
    ``("piping:fine", "needs_detail")``; all facts of the catalogue may be passed, only those named are
    read.
    """

    piping: Literal["none", "borders", "rosettes", "fine"]
    finish: Literal["smooth", "textured"]
    colour: Literal["white", "pastel", "deep", "dark"]
    wanted_sweetness: Fact
    sponge_sweetness: Fact
    sponge_g: float
    coat_ml: float
    filling_ml: float
    tier_count: int
    humidity_pct: float
    load_kpa: float
    is_supported: bool
    diet: frozenset[str]
    equipment: frozenset[str]
    importance: Mapping[str, float]
    requirements: Mapping[tuple[str, str], Fact]

    @property
    def carried_kpa(self) -> float:
        """What the lowest filling itself carries [kPa]: nothing when boards and dowels do."""
        return 0.0 if self.is_supported else self.load_kpa


@dataclass(frozen=True, slots=True)
class Assessment:
    """What one criterion says of one alternative: the value (0..1), the measured number, the facts read.

    ``low`` and ``high`` are the ends of the measured number's range: what each fact's own range does to it, taken as
    independent of the others and so added up by squares.
    ``spread`` is, for each fact read, half the change of the value when that fact moves from its low to its
    high (signed; positive where a higher fact is better), keyed by (subject, property). Ties and confidence
    use it.
    """

    criterion: str
    value: float
    measured: float
    low: float
    high: float
    unit: str
    facts: tuple[Fact, ...]
    spread: Mapping[tuple[str, str], float]


@dataclass(frozen=True, slots=True)
class Exclusion:
    """A formulation removed from a role by a limit."""

    formulation: Formulation
    role: Literal["coat", "filling"]
    limit: str
    because: str
