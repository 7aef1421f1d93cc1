"""The advice as it leaves the advisor: what the API returns and the pages show. Temperatures in °C, times in h."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from webapp.advice.brief import Brief, CriterionId, Diet, OwnFormula, Tier

Verdict = Literal["holds", "marginal", "no-coat-holds", "nothing-fits"]
Share = Annotated[float, Field(ge=0, le=1)]
End = Annotated[Share | None, Field(description="an end of its range; none in an advice that was kept without")]


class _Out(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Named(_Out):
    """A formulation by its id, its name and its family's id."""

    formulation: str
    name: str
    family: str
    family_name: str


class PairingOut(_Out):
    """One coat with one filling."""

    coat: Named
    filling: Named
    score: Share
    score_low: End = None
    score_high: End = None
    confidence: Annotated[
        Share, Field(description="share of draws in which it stays first, or cannot be told from the first")
    ]
    sure: Annotated[str, Field(description="how sure the choice is, in words")]
    confidence_of_coat: Annotated[Share, Field(description="the same for any pairing with its family outside")]
    needs_dam: Annotated[bool, Field(description="the filling is softer than its load: pipe a dam of the coat")]
    summary: Annotated[str, Field(description="one sentence for the client")]


class HoldOut(_Out):
    """How long a coat keeps the look it was made with, from its arrival on the table; 12 h is the horizon."""

    needed_h: float
    likely_h: float
    low_h: Annotated[float, Field(description="nine cakes in ten last at least this long")]
    high_h: Annotated[float, Field(description="one cake in ten lasts longer than this")]
    peak_coat_c: Annotated[float, Field(description="until cut; 45 stands for all above, where it has run off")]
    peak_low_c: float
    peak_high_c: float
    softens_c: Annotated[float, Field(description="the temperature that counts for this look")]
    softens_low_c: float
    softens_high_c: float
    chance: Share
    sentence: str


class PartOut(_Out):
    """One part of the cake with its own clock."""

    likely_h: float
    low_h: float
    chance: Share
    sentence: str


class PartsOut(_Out):
    """The parts that can fail; ``detail`` is none without piping, ``stack`` none with a single tier."""

    coat: PartOut
    detail: PartOut | None
    filling: PartOut
    stack: PartOut | None


class RankedOut(_Out):
    """One formulation in one role."""

    formulation: str
    name: str
    family: str
    family_name: str
    score: Share
    score_low: End = None
    score_high: End = None
    values: dict[CriterionId, Share]
    hold: HoldOut | None
    holds: Annotated[bool | None, Field(description="chance of 0.9 or more; none for a filling")]


class RankedPairingOut(_Out):
    """One of the best ten pairings; those with the same tie number cannot be told apart."""

    coat: Named
    filling: Named
    score: Share
    score_low: End = None
    score_high: End = None
    hold_class: Literal["holds", "marginal", "fails"]
    tied_with_first: bool
    values: dict[CriterionId, Share]


class ExcludedOut(_Out):
    """A formulation that a limit removed from a role."""

    formulation: str
    name: str
    family: str
    role: Literal["coat", "filling"]
    limit: Annotated[str, Field(description="id of the limit")]
    because: str
    source: str


class FactOut(_Out):
    """A number that a reason reads."""

    subject: str
    name: str
    value: float
    low: float
    high: float
    unit: str
    basis: str
    source: str


class ReasonOut(_Out):
    """What one criterion says of the chosen pairing."""

    criterion: CriterionId
    title: str
    role: Literal["coat", "filling", "pair"]
    text: str
    value: Share
    value_low: End = None
    value_high: End = None
    weight: Annotated[Share, Field(description="normalised: all weights add up to 1")]
    speaks: Annotated[Literal["for", "against"], Field(description="against: what this choice gives up")]
    facts: list[FactOut]
    source: Annotated[str, Field(description="where the value function comes from")]


class CautionOut(_Out):
    """A safety or handling sentence."""

    id: str
    text: str
    source: str


class LeverOut(_Out):
    """One change of the brief and the verdict it gives when asked as a brief."""

    lever: Annotated[str, Field(description="a field of the brief")]
    from_: Annotated[str | float | bool | list[Tier], Field(alias="from")]
    to: str | float | bool | list[Tier]
    also: Annotated[dict[str, str | float | bool | list[Tier]], Field(description="fields that change with it")] = {}
    effect: str
    verdict: Verdict


class AssumedOut(_Out):
    """A field that was not given, and what was taken for it; a diet also where it was given and names nothing."""

    field: str
    taken: str
    text: str


class TasteOut(_Out):
    """The pairing that would win on taste and looks alone, with what it would take to let it hold."""

    coat: Named
    filling: Named
    is_the_advice: bool
    hold: HoldOut
    takes: str
    firmer: Annotated[
        OwnFormula | None, Field(description="its coat with the least of a firmer fat that holds; none if none does")
    ]


class StressOut(_Out):
    """Chance that the advised coat still holds when the forecast or the timetable is wrong."""

    chance: Share
    hotter: Annotated[Share, Field(description="air 3 K warmer than given")]
    later: Annotated[Share, Field(description="cut an hour later")]
    both: Share
    spare_k: Annotated[float | None, Field(description="how much hotter it may get and still hold; none if unknown")]
    even_k: Annotated[float | None, Field(description="how much hotter until it is as likely lost; none if unknown")]
    sentence: str


class FoodClockOut(_Out):
    """Hours out of the fridge against the rule for homes: another clock than that of shape."""

    out_h: Annotated[float, Field(description="drive and display as asked")]
    limit_h: Annotated[float, Field(description="2, or 1 above 32 °C of air (USDA FSIS) or of coat (our caution)")]
    is_longer: bool
    short: Annotated[str, Field(description="the same in a line that fits beside the verdict")]
    sentence: Annotated[str, Field(description="the next three in one; all that an older advice has")]
    rule: Annotated[str, Field(description="what is asked, the rule and its time")] = ""
    then: Annotated[str, Field(description="what to do about it")] = ""
    not_counted: Annotated[str, Field(description="what ends the time sooner")] = ""
    source: str


class MoistureOut(_Out):
    """Water that settles on the cold coat, and what humid air does to a crust."""

    amount: Literal["none", "haze", "sweat", "beads"]
    minutes: Annotated[float, Field(description="likely time below the dew point")]
    minutes_low: float
    minutes_high: float
    grams_m2: float
    grams_m2_low: float
    grams_m2_high: float
    boxed_until: Annotated[str | None, Field(description="HH:MM until which its box should stay shut")]
    sentence: str
    crust: Annotated[str | None, Field(description="what this air does to a crusting coat")]


class RelaxationOut(_Out):
    """The smallest set of limits to give up so that something fits."""

    limits: list[str]
    text: str
    then: Annotated[list[str], Field(description="formulations that would fit")]


class NothingFitsOut(_Out):
    """Why nothing is left."""

    role: Literal["coat", "filling", "both"]
    limits: Annotated[list[str], Field(description="the limits that together emptied the list")]
    text: str
    relaxations: list[RelaxationOut]


class TierCourseOut(_Out):
    """The likely course of one tier's coat; tiers alike are one."""

    tier: str
    coat_c: list[float]
    low_c: list[float] = []
    high_c: list[float] = []


class CourseOut(_Out):
    """The coat's temperature over the event on the tier that decides, for the picture and its table."""

    hours: Annotated[list[float], Field(description="from the arrival on the table; travel is negative")]
    coat_c: Annotated[list[float], Field(description="45 stands for all above, where it has run off; so in all tiers")]
    low_c: list[float]
    high_c: list[float]
    air_c: list[float]
    tier: Annotated[str, Field(description="the tier that decides")]
    tiers: Annotated[list[TierCourseOut], Field(description="every tier, bottom first")] = []


class LearntOut(_Out):
    """A softening temperature that the shop's own events taught and its owner switched on, in the place of ours."""

    formulation: str
    name: str
    likely_c: float
    low_c: Annotated[float, Field(description="5th percentile")]
    high_c: Annotated[float, Field(description="95th percentile")]
    events: Annotated[int, Field(description="how many notes after events stand behind it")]


class Advice(_Out):
    """The answer to one brief."""

    verdict: Verdict
    headline: Annotated[str, Field(description="the verdict in one sentence a client understands")]
    pairing: PairingOut | None
    hold: HoldOut | None
    parts: PartsOut | None
    deadline: Annotated[str | None, Field(description="by when to cut, in a sentence; none where no coat holds")]
    cut_by: Annotated[str | None, Field(description="HH:MM until which it keeps its look with chance 0.9")]
    coats: list[RankedOut]
    fillings: list[RankedOut]
    pairings: list[RankedPairingOut]
    excluded: list[ExcludedOut]
    reasons: list[ReasonOut]
    cautions: list[CautionOut]
    levers: list[LeverOut]
    assumed: list[AssumedOut]
    taste: TasteOut | None
    stress: StressOut | None
    moisture: MoistureOut | None
    food_clock: FoodClockOut | None
    nothing_fits: NothingFitsOut | None
    course: CourseOut | None
    learnt: Annotated[
        list[LearntOut], Field(description="what this shop learnt and uses here; empty unless it was switched on")
    ] = []
    sources: Annotated[dict[str, str], Field(description="citation of every source key used above")]
    brief: Brief


class ProblemOut(_Out):
    """One bad field."""

    field: str
    problem: str
    allowed: str


class ProblemsOut(_Out):
    """Why a brief was refused."""

    problems: list[ProblemOut]


__all__ = ["Advice", "Diet", "ProblemsOut"]
