"""A kept consultation as pages show it: the brief and advice as they were, and what has changed since."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator
from dataclasses import dataclass

from pydantic import ValidationError

from webapp.advice.brief import Brief, read_brief
from webapp.advice.contract import Advice, HoldOut
from webapp.errors import BriefError
from webapp.pages.advisor import current_advisor, current_catalogue
from webapp.pages.formatters import VERDICTS, brief_value, chance, field_noun, hold_range
from webapp.pages.versions import current_versions
from webapp.records.columns import JsonObject
from webapp.records.consultations import Content
from webapp.records.model import Consultation
from webapp.units import Measures

Pairing = tuple[str, str]
NONE = "none"


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that is not the same on two sides."""

    name: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class Kept:
    """A consultation read back; ``brief`` or ``advice`` is none where this version cannot read it any more."""

    record: Consultation
    brief: Brief | None
    advice: Advice | None

    @property
    def advised(self) -> Pairing | None:
        pairing = self.advice.pairing if self.advice else None
        return (pairing.coat.formulation, pairing.filling.formulation) if pairing else None

    @property
    def on_taste(self) -> Pairing | None:
        taste = self.advice.taste if self.advice else None
        return (taste.coat.formulation, taste.filling.formulation) if taste else None

    @property
    def chosen(self) -> Pairing | None:
        record = self.record
        return (record.coat, record.filling) if record.coat and record.filling else None

    @property
    def names(self) -> dict[str, str]:
        """What every formulation of the advice was called."""
        return {} if self.advice is None else names_in(self.advice)

    def name(self, formulation: str | None) -> str:
        return self.names.get(formulation or "", "") or formulation_name(formulation)

    def pairings(self) -> list[Pairing]:
        """List what may be chosen: what the advice ranked, what would win on taste alone, and what was chosen."""
        ranked = self.advice.pairings if self.advice else []
        listed = [(each.coat.formulation, each.filling.formulation) for each in ranked]
        more = [pair for pair in (self.advised, self.on_taste, self.chosen) if pair]
        return list(dict.fromkeys([*listed, *more]))

    def pairings_by_coat(self) -> dict[str, list[Pairing]]:
        """Group the pairings by their coat, each coat where its best stands."""
        grouped: dict[str, list[Pairing]] = {}
        for pairing in self.pairings():
            grouped.setdefault(pairing[0], []).append(pairing)
        return grouped

    def may_be_chosen(self, pairing: Pairing) -> bool:
        return pairing in self.pairings()

    def hold(self, coat: str) -> HoldOut | None:
        """Return how long a coat holds, as it was advised."""
        coats = self.advice.coats if self.advice else []
        return next((each.hold for each in coats if each.formulation == coat), None)


def kept_of(record: Consultation) -> Kept:
    """Read a consultation back."""
    return Kept(record, _brief(record.advised.brief), _advice(record.advised.advice))


def _brief(document: JsonObject) -> Brief | None:
    try:
        return read_brief(json.dumps(document))
    except BriefError:
        return None


def _advice(document: JsonObject) -> Advice | None:
    try:
        return Advice.model_validate_json(json.dumps(document))
    except ValidationError:
        return None


def brief_document(brief: Brief) -> JsonObject:
    """Write a brief as it is kept: what was given, no more."""
    document: JsonObject = brief.model_dump(mode="json", exclude_unset=True, exclude_none=True)
    return document


def advice_document(advice: Advice) -> JsonObject:
    """Write an advice as it is kept; its brief is kept beside it."""
    document: JsonObject = advice.model_dump(mode="json", by_alias=True, exclude={"brief"})
    return document | {"brief": brief_document(advice.brief)}


def advised_content(brief: Brief, measures: Measures, names: Content) -> Content:
    """Fill a consultation's names and choice up with a brief, the advice on it and the versions that gave it."""
    versions = current_versions()
    return Content(
        client=names.client,
        event=names.event,
        event_date=names.event_date,
        brief=brief_document(brief),
        advice=advice_document(current_advisor()(brief, measures)),
        data_version=versions.data,
        code_version=versions.code,
        coat=names.coat,
        filling=names.filling,
    )


def names_in(advice: Advice) -> dict[str, str]:
    pairs = [part for each in advice.pairings for part in (each.coat, each.filling)]
    first = [part for each in (advice.taste, advice.pairing) if each for part in (each.coat, each.filling)]
    named = [(each.formulation, each.name) for each in (*pairs, *first)]
    ranked = [(each.formulation, each.name) for each in (*advice.coats, *advice.fillings)]
    return dict([*named, *ranked])


def formulation_name(formulation: str | None) -> str:
    """Name a formulation by what is known of it now."""
    if not formulation:
        return NONE
    known = current_catalogue().formulations.get(formulation)
    return known.name if known else "an own formula" if formulation.startswith("own-") else formulation


def version_changes(record: Consultation) -> list[Change]:
    """List which versions are others than those that made the advice."""
    versions, made = current_versions(), record.advised
    rows = [Change("Data", made.data_version, versions.data), Change("Advisor", made.code_version, versions.code)]
    return [row for row in rows if row.was != row.now]


def advice_changes(was: Advice, now: Advice, measures: Measures) -> list[Change]:
    """List what another advice on the same brief says otherwise."""
    told = zip(_told(was, measures), _told(now, measures), strict=True)
    rows = (Change(name, before, after) for (name, before), (_, after) in told)
    return [row for row in rows if row.was != row.now]


def _told(advice: Advice, measures: Measures) -> Iterator[tuple[str, str]]:
    yield "Verdict", VERDICTS[advice.verdict]
    yield "Coat", advice.pairing.coat.name if advice.pairing else NONE
    yield "Filling", advice.pairing.filling.name if advice.pairing else NONE
    yield "Keeps its look", hold_range(advice.hold) if advice.hold else NONE
    yield "Chance", chance(advice.hold.chance) if advice.hold else NONE
    cut_by = advice.cut_by and measures.clock(dt.time.fromisoformat(advice.cut_by))
    yield "Sure until", cut_by or "not said"


def brief_changes(was: Brief, now: Brief, measures: Measures) -> list[Change]:
    """List the fields of two briefs that are not the same, in the order of the brief."""
    return [
        Change(field_noun(field), brief_value_of(was, field, measures), brief_value_of(now, field, measures))
        for field in Brief.model_fields
        if getattr(was, field) != getattr(now, field)
    ]


def brief_value_of(brief: Brief, field: str, measures: Measures) -> str:
    value = getattr(brief, field)
    if value is None:
        return "not said"
    if field == "own_formulas":
        return ", ".join(own.name for own in value) or NONE
    if field == "importance":
        return ", ".join(f"{criterion} {weight:g}" for criterion, weight in value.items()) or "as usual"
    return brief_value(field, value, measures)
