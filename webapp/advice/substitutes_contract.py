"""Substitutes as programs ask for and get them: what ``/api/substitutes`` takes and gives. Masses in g, °C."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from webapp.advice.brief import Brief, OwnFormula, Tier
from webapp.advice.brief_problems import MOST_PROBLEMS, problem_of
from webapp.advice.cautions import cautions_named
from webapp.advice.contract import CautionOut, Named, Share
from webapp.advice.own_formulas import as_typed
from webapp.advice.service import Advisor
from webapp.advice.substitutes import (
    Avoided,
    Effect,
    Fidelity,
    Fit,
    Nearby,
    Offence,
    Substitutes,
    Way,
    find_substitutes,
)
from webapp.catalogue.model import Basis, Catalogue, Formulation, Ingredient
from webapp.decision.model import HoldClass
from webapp.errors import BriefError, FieldProblem
from webapp.kitchen.swaps import WATER, WeighedSwap
from webapp.kitchen.water_activity import Range

# Stand beside every answer, in this order, where the data have them.
CAUTIONS = ("allergens", "label-check", "cross-contact", "planning-help")
AQUAFABA, AQUAFABA_CAUTION = "aquafaba", "aquafaba-legume"


class SubstitutesIn(BaseModel):
    """A formulation and what must be avoided; with a brief each result is tried at its event."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    formulation: Annotated[str, Field(max_length=100, description="id of a formulation, as in the advice")]
    avoid: Annotated[tuple[Avoided, ...], Field(description="what the result must be free of")] = ()
    brief: Annotated[Brief | None, Field(description="the event, if there is one")] = None


class _Out(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class RangeOut(_Out):
    """A likely number with its low and its high."""

    value: float
    low: float
    high: float


class EffectOut(_Out):
    """What the swaps do to one property; ``C`` is °C, ``feel`` a judged scale of 0 to 10."""

    property: str
    unit: str
    before: RangeOut
    after: RangeOut
    basis: Basis
    sources: list[str]


class SwapOut(_Out):
    """One swap in the grams of this formula; water is added, or left out where it is negative."""

    swap: str
    replaces: str
    with_: Annotated[str, Field(alias="with")]
    ratio: Annotated[float, Field(description="grams of the new for one gram of the old")]
    out_g: float
    in_g: float
    water_g: float
    text: str
    fidelity: Fidelity
    basis: Basis
    source: str


class LineOut(_Out):
    """One line of a formula."""

    ingredient: str
    name: str
    grams: float
    stage: str


class OffenceOut(_Out):
    """An ingredient and what of that which must be avoided it has, or may have."""

    ingredient: str
    name: str
    avoided: list[Avoided]


class FitOut(_Out):
    """How a formulation does at the event of the brief."""

    hold_class: HoldClass
    chance: Share
    may_coat: bool
    may_fill: bool
    filling_margin_k: Annotated[
        RangeOut, Field(description="how far it stays below creeping between the layers; below 0 it creeps")
    ]


class WayOut(_Out):
    """One way to free the formula of what must be avoided."""

    formulation: Named
    swaps: list[SwapOut]
    fidelity: Fidelity
    lines: list[LineOut]
    effects: list[EffectOut]
    brings: Annotated[list[str], Field(description="allergens that come in")]
    takes_away: Annotated[list[str], Field(description="allergens that go")]
    doubts: Annotated[list[OffenceOut], Field(description="ingredients whose label decides")]
    fit: FitOut | None
    own_formula: Annotated[OwnFormula, Field(description="the new formula as a brief takes it, to ask for advice with")]


class NearbyOut(_Out):
    """The nearest formulation of another family; ``distance`` is 0 for one that eats the same."""

    distance: float
    effects: Annotated[list[EffectOut], Field(description="against the formulation that was asked about")]
    brings: Annotated[list[str], Field(description="allergens that come in against it")]
    takes_away: Annotated[list[str], Field(description="allergens that go against it")]
    lost: Annotated[list[str], Field(description="fats of it that need not go and are not in this one")]
    way: WayOut


class SubstitutesOut(_Out):
    """Every way that was found, what holds at the event first, then the most faithful.

    ``nearby`` is there only where none is faithful or workable.
    """

    formulation: Named
    avoid: list[Avoided]
    is_free: bool
    offences: list[OffenceOut]
    doubts: list[OffenceOut]
    ways: list[WayOut]
    nearby: list[NearbyOut]
    cautions: list[CautionOut]
    sources: Annotated[dict[str, str], Field(description="citation of every source key used above")]


def read_request(text: str | bytes) -> SubstitutesIn:
    """Read what is asked, from JSON.

    Raises
    ------
    BriefError
        With a problem for each field that is missing, unknown, of the wrong type or out of range.
    """
    try:
        return SubstitutesIn.model_validate_json(text)
    except ValidationError as error:
        raise BriefError(tuple(_problem(dict(detail)) for detail in error.errors()[:MOST_PROBLEMS])) from None


def answer(asked: SubstitutesIn, advisor: Advisor, today: dt.date) -> tuple[Substitutes, Catalogue]:
    """Find what is asked for; the catalogue that comes with it knows the brief's own formulas too.

    Raises
    ------
    BriefError
        If there is no such formulation, or one of the brief's own formulas cannot be understood.
    """
    advisor = _knowing_own(advisor, asked.brief) if asked.brief else advisor
    known = advisor.catalogue.formulations
    if asked.formulation not in known:
        raise BriefError((FieldProblem("formulation", "there is no such formulation", "one of " + ", ".join(known)),))
    found = find_substitutes(advisor, known[asked.formulation], asked.avoid, asked.brief, today)
    return found, advisor.catalogue


def _knowing_own(advisor: Advisor, brief: Brief) -> Advisor:
    try:
        return advisor.entering(brief)
    except BriefError as refused:
        raise BriefError(tuple(_in_brief(problem) for problem in refused.problems)) from None


def _in_brief(problem: FieldProblem) -> FieldProblem:
    return FieldProblem(f"brief.{problem.field}", problem.problem, problem.allowed)


def _problem(detail: Mapping[str, Any]) -> FieldProblem:
    location = detail["loc"]
    if not location:
        problem = problem_of(detail, SubstitutesIn.model_fields)
        return FieldProblem("request", problem.problem, f"one JSON object with {', '.join(SubstitutesIn.model_fields)}")
    if detail["type"] == "missing" and len(location) == 1:
        return FieldProblem(str(location[-1]), "is missing", "the id of a formulation, such as swiss-butter")
    if location[:1] != ("brief",) or len(location) == 1:
        return problem_of(detail, SubstitutesIn.model_fields)
    inner = {**detail, "loc": location[1:]}
    rows = {"tiers": Tier.model_fields, "own_formulas": OwnFormula.model_fields}
    fields = rows.get(str(location[1]), Brief.model_fields) if len(location) > 2 else Brief.model_fields
    return _in_brief(problem_of(inner, fields))


def write_substitutes(found: Substitutes, catalogue: Catalogue) -> SubstitutesOut:
    """Write down what was found."""
    cautions = cautions_for(found, catalogue)
    out = SubstitutesOut(
        formulation=_named(found.formulation),
        avoid=list(found.avoid),
        is_free=found.is_free,
        offences=_offences(found.offences),
        doubts=_offences(found.doubts),
        ways=[_way(way, catalogue) for way in found.ways],
        nearby=[_near(near, catalogue) for near in found.nearby],
        cautions=cautions,
        sources={},
    )
    used = {*_sources(out), *(caution.source for caution in cautions)}
    return out.model_copy(update={"sources": {key: catalogue.sources[key].citation for key in sorted(used)}})


def cautions_for(found: Substitutes, catalogue: Catalogue) -> list[CautionOut]:
    """Return the cautions that stand beside the answer."""
    made = [way.formulation for way in (*found.ways, *(near.way for near in found.nearby))]
    holds = any(line.ingredient.id == AQUAFABA for each in (found.formulation, *made) for line in each.lines)
    wanted = (*CAUTIONS, *([AQUAFABA_CAUTION] if holds else []))
    return cautions_named(wanted, catalogue)


def own_formula(way: Way, catalogue: Catalogue) -> OwnFormula:
    """Write the new formula as a brief takes it: each line in grams and words, under a name that tells the swaps."""
    made = way.formulation
    new = [catalogue.ingredients[each.swap.with_] for each in way.swaps]
    told = [plain_name(each) for each in new if each.id != WATER] or ["water"]
    name = f"{made.family.name} with {' and '.join(dict.fromkeys(told))}" if way.swaps else made.name
    return as_typed(made, name)


def plain_name(ingredient: Ingredient) -> str:
    """Name an ingredient within a sentence, without its origin and what is added in brackets."""
    name = ingredient.name.partition(" (")[0].partition(" from ")[0]
    return name[:1].lower() + name[1:]


def _sources(out: SubstitutesOut) -> Iterable[str]:
    for way in (*out.ways, *(near.way for near in out.nearby)):
        yield from (swap.source for swap in way.swaps)
        for effect in way.effects:
            yield from effect.sources
    for near in out.nearby:
        for effect in near.effects:
            yield from effect.sources


def _way(way: Way, catalogue: Catalogue) -> WayOut:
    return WayOut(
        formulation=_named(way.formulation),
        swaps=[_swap(each, catalogue) for each in way.swaps],
        fidelity=way.fidelity,
        lines=[
            LineOut(ingredient=line.ingredient.id, name=line.ingredient.name, grams=line.grams, stage=line.stage)
            for line in way.formulation.lines
        ],
        effects=[_effect(effect) for effect in way.effects],
        brings=sorted(way.brings),
        takes_away=sorted(way.takes_away),
        doubts=_offences(way.doubts),
        fit=_fit(way.fit),
        own_formula=own_formula(way, catalogue),
    )


def _near(near: Nearby, catalogue: Catalogue) -> NearbyOut:
    return NearbyOut(
        distance=near.distance,
        effects=[_effect(effect) for effect in near.effects],
        brings=sorted(near.brings),
        takes_away=sorted(near.takes_away),
        lost=sorted(catalogue.ingredients[id_].name for id_ in near.lost),
        way=_way(near.way, catalogue),
    )


def _named(formulation: Formulation) -> Named:
    family = formulation.family
    return Named(formulation=formulation.id, name=formulation.name, family=family.id, family_name=family.name)


def _swap(weighed: WeighedSwap, catalogue: Catalogue) -> SwapOut:
    swap = weighed.swap
    return SwapOut(
        swap=swap.id,
        replaces=catalogue.ingredients[swap.replaces].name,
        with_=catalogue.ingredients[swap.with_].name,
        ratio=weighed.ratio,
        out_g=weighed.out_g,
        in_g=weighed.in_g,
        water_g=weighed.water_g,
        text=swap.effect,
        fidelity=swap.faithful,
        basis=swap.basis,
        source=swap.source,
    )


def _effect(effect: Effect) -> EffectOut:
    return EffectOut(
        property=effect.name,
        unit=effect.unit,
        before=_range(effect.before),
        after=_range(effect.after),
        basis=effect.basis,
        sources=list(effect.sources),
    )


def _range(numbers: Range) -> RangeOut:
    return RangeOut(value=numbers.likely, low=numbers.low, high=numbers.high)


def _offences(found: Iterable[Offence]) -> list[OffenceOut]:
    return [
        OffenceOut(ingredient=each.ingredient.id, name=each.ingredient.name, avoided=list(each.avoided))
        for each in found
    ]


def _fit(fit: Fit | None) -> FitOut | None:
    if fit is None:
        return None
    return FitOut(
        hold_class=fit.hold_class,
        chance=fit.chance,
        may_coat=fit.may_coat,
        may_fill=fit.may_fill,
        filling_margin_k=_range(fit.filling_margin),
    )
