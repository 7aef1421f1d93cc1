"""What happened to real cakes, beside what the advisor says of them.

Run ``python -m tests.outside.field_reports``. A row of field_reports.csv is what one decorator told of one coat,
as a brief, and as ranges where the report leaves something out: a list holds what to try, of a number its two
ends, since the hold only falls with each. ``coat`` may name several formulations where the fat was not told. A
row without a brief cannot be asked, its note says why.

The rule: a report of a coat that held agrees with the advisor where the chance of holding is 0.5 or more
somewhere in the ranges, disagrees where it is below 0.1 everywhere, and could be either in between; a report of
one that failed is the mirror image. ``softened`` is judged by the look (piped detail with it), ``slumped`` and
``melted`` by the part that moved. Advice that people give counts apart from what they saw.

The reports are noisy: most leave out two to four things that decide, and people write of disasters more than of
cakes that stood. So they can show that a range is wrong, and hardly that it is right.
"""

from __future__ import annotations

import csv
import datetime as dt
import itertools
import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from webapp.advice.brief import Brief, read_brief
from webapp.advice.heat import CakeHeat, warm_cake
from webapp.advice.holds import coat_hold, filling_hold
from webapp.advice.moisture import crust_of
from webapp.advice.service import Advisor
from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import Formulation
from webapp.config import Config

Agreement = Literal["agrees", "could be either", "disagrees"]

FILE = Path(__file__).with_suffix(".csv")
DAY = dt.date(2026, 6, 1)
FAILED = frozenset({"softened", "slumped", "melted", "dry", "no-crust"})
OUTCOMES = FAILED | {"held", "sweated"}
# What may differ without the cake warming differently.
_SAME_HEAT = {"hold_hours": 3.0, "piping": "none", "finish": "smooth"}


@dataclass(frozen=True, slots=True)
class Report:
    """One row of the file."""

    id: str
    kind: str
    coats: tuple[str, ...]
    outcome: str
    part: str
    brief: dict[str, Any]
    ranges: dict[str, list[Any]]
    confidence: int
    note: str

    @property
    def is_advice(self) -> bool:
        return self.kind == "expert-advice"

    @property
    def can_be_asked(self) -> bool:
        return bool(self.brief)

    def briefs(self) -> Iterator[Brief]:
        """Every brief within the ranges."""
        for values in itertools.product(*self.ranges.values()):
            yield read_brief(json.dumps(self.brief | dict(zip(self.ranges, values, strict=True))))


def read_reports() -> list[Report]:
    with FILE.open(encoding="utf-8", newline="") as file:
        return [
            Report(
                id=row["id"],
                kind=row["kind"],
                coats=tuple(row["coat"].split("|")) if row["coat"] else (),
                outcome=row["outcome"],
                part=row["part"],
                brief=json.loads(row["brief"] or "{}"),
                ranges=json.loads(row["ranges"] or "{}"),
                confidence=int(row["confidence"]),
                note=row["note"],
            )
            for row in csv.DictReader(file)
        ]


@dataclass(frozen=True, slots=True)
class Judged:
    """A report with the advisor's lowest and highest chance, within its ranges, of the part holding."""

    report: Report
    low: float
    high: float

    @property
    def of_what_happened(self) -> tuple[float, float]:
        """Lowest and highest chance of what was reported."""
        return (1 - self.high, 1 - self.low) if self.report.outcome in FAILED else (self.low, self.high)

    @property
    def agreement(self) -> Agreement:
        likeliest = self.of_what_happened[1]
        if likeliest >= 0.5:
            return "agrees"
        return "disagrees" if likeliest < 0.1 else "could be either"

    @property
    def agrees_throughout(self) -> bool:
        """Whether it would agree wherever in the ranges the truth lies."""
        return self.of_what_happened[0] >= 0.5


class Judge:
    """Asks the advisor about reports."""

    def __init__(self, advisor: Advisor) -> None:
        self.advisor = advisor
        self._warmed: dict[str, CakeHeat] = {}

    def judge(self, report: Report) -> Judged:
        coats = [self.advisor.catalogue.formulations[id_] for id_ in report.coats]
        chances = [self.chance(report.part, coat, brief) for brief in report.briefs() for coat in coats]
        return Judged(report, min(chances), max(chances))

    def chance(self, part: str, coat: Formulation, brief: Brief) -> float:
        """Return the chance that a part does what it should, or of a surface that it sweats, a crust that it forms."""
        catalogue, softness = self.advisor.catalogue, self.advisor.softness
        if part == "crust":
            return crusting_chance(crust_of(coat, brief.humidity_pct, catalogue).minutes, 60 * brief.hold_hours)
        heat = self.heat(brief, coat.family.id)
        if part == "surface":
            grams = heat.warming.sweat_g_m2[heat.bodies(coat.family.id)].max(axis=0)
            return float((grams >= catalogue.fact("sweat", "visible_from").value).mean())
        if part == "filling":
            return filling_hold(coat, coat, heat, softness, catalogue).chance
        hold = coat_hold(coat, heat, softness, catalogue)
        held = {"look": hold.look, "coat": hold.coat, "detail": hold.detail}[part]
        assert held is not None, "a report on piped detail says what was piped"
        return held.chance

    def heat(self, brief: Brief, family: str) -> CakeHeat:
        """Warm the cake once for all looks and hours."""
        plain = brief.model_copy(update=_SAME_HEAT)
        key = f"{family} {plain.model_dump_json()}"
        if key not in self._warmed:
            advisor = self.advisor
            self._warmed[key] = warm_cake(plain, advisor.catalogue, advisor.seed, DAY, (family,))
        return replace(self._warmed[key], brief=brief, _courses={})


def crusting_chance(minutes: tuple[float, float, float] | None, given: float) -> float:
    """Return the chance that a crust forms in the time given [min], straight between the ends of its range."""
    if minutes is None:
        return 0.0
    return float(np.interp(given, minutes, (0.05, 0.5, 0.95)))


def judge_all(advisor: Advisor) -> list[Judged]:
    judge = Judge(advisor)
    return [judge.judge(report) for report in read_reports() if report.can_be_asked]


def counts(judged: list[Judged], *, advice: bool) -> Counter[str]:
    return Counter(each.agreement for each in judged if each.report.is_advice == advice)


def share(low: float, high: float) -> str:
    return f"{low:.2f}" if round(low, 2) == round(high, 2) else f"{low:.2f} to {high:.2f}"


def main() -> None:
    judged = judge_all(Advisor(load_catalogue(Config().data_dir)))
    print(f"{'id':4} {'kind':13} {'happened':9} {'part':8} {'chance of it':13} {'advisor':38} coat and note")
    for each in judged:
        report = each.report
        said = each.agreement + (", whatever was left out" if each.agrees_throughout else "")
        print(
            f"{report.id:4} {report.kind:13} {report.outcome:9} {report.part:8} "
            f"{share(*each.of_what_happened):13} {said:38} {'|'.join(report.coats)}: {report.note}"
        )
    for name, advice in (("seen", False), ("advised", True)):
        found = counts(judged, advice=advice)
        print(f"{name}: " + ", ".join(f"{found[a]} {a}" for a in ("agrees", "could be either", "disagrees")))
    for report in read_reports():
        if not report.can_be_asked:
            print(f"{report.id} cannot be asked: {report.note}")


if __name__ == "__main__":
    main()
