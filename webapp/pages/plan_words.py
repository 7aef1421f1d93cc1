"""A kitchen plan in words: amounts, batches and hot steps as a baker reads them. Grams first."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from webapp.advice.contract import Advice
from webapp.advice.kitchen_plan import (
    Batch,
    HeatStep,
    Kind,
    KitchenPlan,
    Making,
    Portion,
    Standing,
    WeighedLine,
    is_syrup_water,
)
from webapp.catalogue.model import Fact
from webapp.pages.formatters import capital, tidy
from webapp.pages.household import LEAST_IN_OUNCES_G, cups, cups_between, household, ounces, spoonfuls
from webapp.pages.method_words import method_words
from webapp.pages.quantities import THICKNESS, VOLUME
from webapp.units import CM_PER_INCH, METRES_PER_FOOT, Measures

KINDS: dict[Kind, str] = {
    "crumb-coat": "Crumb coat",
    "outer-coat": "Coat over it",
    "dam": "Dam, of the coat",
    "filling": "Filling",
    "side-rosettes": "Rosettes on the side",
    "top-edge": "Piping, top edge",
    "foot-edge": "Piping, foot",
    "mending": "Bag for mending the foot",
    "swirl": "Swirls",
    "core": "Filled cores",
}
ROLES = {"coat": "coat", "filling": "filling"}


def chosen_words(plan: KitchenPlan, advice: Advice) -> Iterator[str]:
    """Say what the advice has against a coat or a filling that was chosen in the place of the advised one."""
    if advice.pairing is None:
        return
    for role, made, advised in (
        ("coat", plan.coat, advice.pairing.coat),
        ("filling", plan.filling, advice.pairing.filling),
    ):
        if made.id == advised.formulation:
            continue
        against = [row.because for row in advice.excluded if (row.role, row.formulation) == (role, made.id)]
        if role == "coat":
            against += [r.hold.sentence for r in advice.coats if r.formulation == made.id and r.hold and not r.holds]
        if against:
            yield f"{made.name} was chosen in place of {advised.name}, which is advised. {' '.join(against)}"


def grams(mass_g: float, measures: Measures) -> str:
    """Write a mass as a scale shows it: whole grams, of a pinch more exactly."""
    if mass_g >= 20:
        return f"{mass_g:,.0f} g".replace(",", "," if measures.is_customary("mass") else " ")
    return f"{tidy(round(mass_g * 2) / 2 if mass_g >= 5 else round(mass_g, 1))} g"


def weighed(mass_g: float, measures: Measures) -> str:
    """Write a mass, with pounds and ounces behind it for a reader who weighs so; a pinch has none."""
    is_told = measures.is_customary("mass") and mass_g >= LEAST_IN_OUNCES_G
    return grams(mass_g, measures) + (f" ({ounces(mass_g)})" if is_told else "")


def volume(ml: float, measures: Measures) -> str:
    """Write a volume in litres, or in cups where the reader measures so."""
    if measures.is_customary("mass"):
        return cups(ml)
    return f"{ml / 1000:.1f} L" if ml >= 1000 else f"{ml:.0f} mL"


def volumes(low_ml: float, high_ml: float, measures: Measures) -> str:
    """Write a range of volumes, the unit once where both have it."""
    if measures.is_customary("mass"):
        return cups_between(low_ml, high_ml)
    low, high = volume(low_ml, measures), volume(high_ml, measures)
    unit = high[high.index(" ") :]
    return low if low == high else f"{low.removesuffix(unit)} to {high}"


def little(ml: float, measures: Measures) -> str:
    """Write a volume that is multiplied by a count or a length: with as many digits as that asks."""
    return spoonfuls(ml) if measures.is_customary("mass") else f"{ml:.0f} mL"


def bowl_words(bowl_l: float, measures: Measures, *, is_typed: bool) -> str:
    """Write the size of a mixer's bowl, in quarts where the reader buys it so: to the half, unless it was typed."""
    shown = VOLUME.show(bowl_l, measures)
    is_rounded = measures.is_customary(VOLUME.kind) and not is_typed
    return f"{tidy(round(2 * shown) / 2 if is_rounded else shown)} {VOLUME.unit(measures)}"


def area(cm2: float, measures: Measures) -> str:
    if measures.is_customary("length"):
        return f"{cm2 / CM_PER_INCH**2:.0f} in²"
    return f"{cm2:,.0f} cm²".replace(",", " ")


@dataclass(frozen=True, slots=True)
class AmountRow:
    """One line of the amounts: what, how it follows, how much."""

    what: str
    role: str
    follows: str
    volume: str
    mass: str


@dataclass(frozen=True, slots=True)
class AmountGroup:
    """The lines of one tier, or of the cupcakes, with their sum."""

    place: str
    rows: tuple[AmountRow, ...]
    volume: str
    mass: str


def amount_groups(plan: KitchenPlan, measures: Measures) -> list[AmountGroup]:
    """Word the amounts tier by tier."""
    groups = groupby(plan.portions, key=lambda portion: portion.place)
    return [_group(place, list(portions), plan, measures) for place, portions in groups]


def _group(place: str, portions: list[Portion], plan: KitchenPlan, measures: Measures) -> AmountGroup:
    masses = [portion.ml * plan.density_of(portion.role) for portion in portions]
    rows = [
        AmountRow(
            KINDS[p.kind],
            ROLES[p.role],
            follows_from(p, plan, measures),
            volume(p.ml, measures),
            grams(mass, measures),
        )
        for p, mass in zip(portions, masses, strict=True)
    ]
    whole = math.fsum(portion.ml for portion in portions)
    return AmountGroup(capital(place), tuple(rows), volume(whole, measures), grams(math.fsum(masses), measures))


def follows_from(portion: Portion, plan: KitchenPlan, measures: Measures) -> str:
    """Say in short how a portion follows from the sizes."""
    thick = _to_multiply(portion.thickness_mm, measures)
    match portion.kind:
        case "crumb-coat" | "outer-coat":
            return f"{thick} on {_where(portion, plan)}, {area(portion.area_cm2, measures)}"
        case "side-rosettes":
            return _rosette_words(portion, plan, measures)
        case "filling":
            return f"{portion.count} × {area(portion.area_cm2, measures)} × {thick}"
        case "dam":
            high = _to_multiply(plan.layout.filling_mm, measures)
            around = measures.length(round(portion.length_cm, 1))
            return f"{portion.count} × ring {thick} wide, {high} high, {around} around"
        case "top-edge" | "foot-edge" | "mending":
            per_m = portion.ml / portion.length_cm * 100
            around = measures.length(round(portion.length_cm, 1))
            if measures.is_customary("length"):
                return f"{around} of border at {little(per_m * METRES_PER_FOOT, measures)} a foot"
            return f"{around} of border at {little(per_m, measures)} a metre"
        case "swirl":
            each = little(portion.ml / portion.count, measures)
            return f"{portion.count} × {each}, swirls {thick} high that fill {_percent(plan)} of their cylinder"
        case "core":
            return f"{portion.count} × {little(portion.ml / portion.count, measures)}"


def _to_multiply(mm: float, measures: Measures) -> str:
    """Write a thickness so near that an area times it is the volume that is told; inches as they are typed."""
    if not measures.is_customary(THICKNESS.kind):
        return measures.thickness(mm)
    return f"{THICKNESS.show(mm, measures):.2f} in"


def _percent(plan: KitchenPlan) -> str:
    share = plan.swirl_share
    return f"{100 * share.value:.0f} % ({100 * share.low:.0f} to {100 * share.high:.0f})"


def _where(portion: Portion, plan: KitchenPlan) -> str:
    """Say what of a tier a coat is on; under rosettes top and side are told apart."""
    if plan.layout.rosette is None or portion.kind == "crumb-coat":
        return "top and side"
    top = [each for each in plan.portions if (each.place, each.kind) == (portion.place, portion.kind)][0]
    return "the top" if portion is top else "the side, under the rosettes"


def _rosette_words(portion: Portion, plan: KitchenPlan, measures: Measures) -> str:
    """Say the rosettes of a side row by row, with the range that their height gives."""
    rosette, high = plan.layout.rosette, plan.rosette_mm
    assert rosette is not None and plan.stack is not None
    size = next(each.tier.size for each in plan.stack.standings if each.tier.name == portion.place)
    rows = rosette.rows_on(size.height_cm)
    between = volumes(portion.ml * high.low / high.value, portion.ml * high.high / high.value, measures)
    least, most = measures.thickness(high.low), measures.thickness(high.high)
    heights = f"{least[: least.rindex(' ')]} to {most}"
    return (
        f"{counted(rows, 'row')} of {portion.count // rows} on the crumb coat, each "
        f"{measures.thickness(rosette.width_mm)} wide and {measures.thickness(rosette.height_mm)} high, "
        f"{little(rosette.ml, measures)}; {between} by their height of {heights}"
    )


@dataclass(frozen=True, slots=True)
class Weight:
    """What is weighed for one batch, and the same by cups, spoons or eggs."""

    mass: str
    beside: str


@dataclass(frozen=True, slots=True)
class BatchWords:
    """All batches of a buttercream: a column for each, a row for each ingredient; batches alike share a column."""

    titles: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Weight, ...]], ...]
    makes: tuple[str, ...]
    steps: tuple[tuple[str, tuple[str, ...]], ...]


def batch_words(making: Making, plan: KitchenPlan, measures: Measures) -> BatchWords:
    """Word every batch of a buttercream."""
    batches = making.preparation.batches
    part = making.preparation.unit.egg_part
    titles = tuple(_titles(batches, part))
    names = [_line_name(line) for line in batches[0].lines]
    columns = [[_weight(line, batch, part, plan, measures) for line in batch.lines] for batch in batches]
    hot = [_hot_words(steps, plan, measures) for steps in making.steps]
    said = [tuple(method_words(making.formulation, each)) for each in hot]
    return BatchWords(
        titles=titles,
        rows=tuple(zip(names, zip(*columns, strict=True), strict=True)),
        makes=tuple(_makes(batch, making, measures) for batch in batches),
        steps=_once(titles, said),
    )


def _hot_words(steps: Sequence[HeatStep], plan: KitchenPlan, measures: Measures) -> dict[str, str]:
    return {step.kind: step_words(step, plan, measures) for step in steps}


def _once(titles: Sequence[str], said: Sequence[tuple[str, ...]]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Give the hot steps of each batch under its title, and those that all share only once."""
    if len(set(said)) == 1:
        return (("", said[0]),) if said[0] else ()
    told = (said[0], *(_after_the_first(steps, said[0]) for steps in said[1:]))
    return tuple((title, steps) for title, steps in zip(titles, told, strict=True) if steps)


def _after_the_first(steps: tuple[str, ...], first: tuple[str, ...]) -> tuple[str, ...]:
    """Leave out the last sentences that are those of the first batch, word for word."""
    here, there = ([*_sentences(each)] for each in (steps, first))
    alike = 0
    while alike < min(len(here), len(there)) - 1 and here[-1 - alike][1] == there[-1 - alike][1]:
        alike += 1
    if not alike:
        return steps
    kept = [*here[: len(here) - alike], (here[-1 - alike][0], "Then as for batch 1.")]
    return tuple(" ".join(said for _, said in step) for _, step in groupby(kept, key=lambda each: each[0]))


def _sentences(steps: Sequence[str]) -> Iterator[tuple[int, str]]:
    """Yield every sentence with the place of its step."""
    return ((place, said) for place, step in enumerate(steps) for said in re.split(r"(?<=\.) (?=[A-Z])", step))


def _titles(batches: Sequence[Batch], part: str | None) -> Iterator[str]:
    first = 1
    for batch in batches:
        last = first + batch.times - 1
        eggs = f", {counted(batch.units, part)}" if part else ""
        if batch.times > 1:
            yield f"Batches {first} {'and' if batch.times == 2 else 'to'} {last}, each{eggs.replace(',', '')}"
        else:
            yield f"{f'Batch {first}' if len(batches) > 1 else 'One batch'}{eggs}"
        first = last + 1


def _makes(batch: Batch, making: Making, measures: Measures) -> str:
    density = making.density
    ends = volumes(batch.makes_g / density.high, batch.makes_g / density.low, measures)
    likely = volume(batch.makes_g / density.value, measures)
    return f"{weighed(batch.makes_g, measures)}, about {likely} beaten ({ends})"


def _line_name(line: WeighedLine) -> str:
    return "Water for the syrup" if is_syrup_water(line) else line.ingredient.name


def _weight(line: WeighedLine, batch: Batch, part: str | None, plan: KitchenPlan, measures: Measures) -> Weight:
    if part and line.ingredient.egg_part == part:
        return Weight(grams(line.grams, measures), f"{counted(batch.units, part)}, {plan.options.egg_size}")
    return Weight(grams(line.grams, measures), household(line.ingredient, line.grams, measures))


def counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def step_words(step: HeatStep, plan: KitchenPlan, measures: Measures) -> str:
    """Word one hot step with its target and its usual minutes."""
    target = measures.temperature(step.target_c)
    match step.kind:
        case "syrup":
            boils = measures.temperature(step.water_boils_c)
            return (
                f"Boil the sugar and {grams(step.water_in_g, measures)} of water to {target}. The pan then holds "
                f"{grams(step.pan_g, measures)}: {grams(step.boiled_off_g, measures)} of water has gone, "
                f"{100 * step.sugar_share:.0f} % is sugar. Plain water boils at {boils} in this kitchen: try the "
                f"thermometer in it. {minutes(plan.step_minutes['syrup'])}."
            )
        case "water-bath":
            return (
                f"Over simmering water, stir egg and sugar until {target} throughout, by the thermometer. "
                f"{minutes(plan.step_minutes['water-bath'])}."
            )
        case "dissolve":
            return (
                f"Over simmering water, stir with the sugar to about {target}, until no grain is felt. "
                f"{minutes(plan.step_minutes['water-bath'])}."
            )
        case "cool":
            return f"Whip until below {target}. {minutes(plan.step_minutes['cool'])}."


def over_g(making: Making) -> int:
    """Return what is over [g], of the masses as they are shown, so that they add up on paper."""
    return round(making.preparation.makes_g) - round(making.need.whole_g)


def minutes(fact: Fact) -> str:
    return f"Usually {tidy(fact.value)} min ({tidy(fact.low)} to {tidy(fact.high)})"


def keeps(days: Fact, months: Fact, *, are_several: bool = False) -> str:
    """Say how long something keeps cold and frozen, by the shortest of the range: what follows ``keeps``."""
    cold = f"{counted(round(days.low), 'day')} in the fridge"
    if months.low:
        return f"{cold}, {counted(round(months.low), 'month')} frozen"
    return f"{cold} but {'freeze' if are_several else 'freezes'} badly"


def egg_words(plan: KitchenPlan, measures: Measures) -> list[str]:
    """Say how many eggs to crack, what is over and how it keeps."""
    eggs = plan.eggs
    if eggs is None:
        return []
    used = [counted(n, part) for n, part in ((eggs.whites, "white"), (eggs.yolks, "yolk")) if n]
    said = [f"Crack {counted(eggs.eggs, plan.options.egg_size + ' egg')}: {' and '.join(used)} are used."]
    said += _egg_over(plan, measures)
    return said


def shared_eggs_words(plan: KitchenPlan) -> str:
    """Say what is saved where one buttercream takes the whites and the other the yolks."""
    eggs = plan.eggs
    if eggs is None or not (eggs.whites and eggs.yolks):
        return ""
    return f"Whites and yolks come from the same eggs; apart it would take {eggs.apart}."


def _egg_over(plan: KitchenPlan, measures: Measures) -> Iterator[str]:
    assert plan.eggs is not None
    over = (
        ("white", plan.eggs.whites_over, plan.eggs.white_over_g),
        ("yolk", plan.eggs.yolks_over, plan.eggs.yolk_over_g),
    )
    for place, (part, number, mass) in enumerate(over):
        if mass > 0.5:
            kept = keeps(plan.egg_keeping[place], plan.egg_keeping[place + 2], are_several=number > 1)
            what = counted(number, part) if number else f"Some {part}"
            yield f"{what} over, {weighed(mass, measures)}: {'they keep' if number > 1 else 'it keeps'} {kept}."


def bears_words(standing: Standing, measures: Measures, *, supported: bool) -> str:
    """Say what the lowest filling of a tier bears, as a weight."""
    if not standing.own_kpa:
        return "has no filling"
    own, bare = (measures.mass(mass) for mass in (standing.own_g, standing.own_g + standing.carries_g))
    if not standing.carries_g:
        return own
    return f"{own}; {bare} without dowels" if supported else bare


def pressure_words(standing: Standing, *, supported: bool) -> str:
    """Say the same as a pressure; without dowels the tier above presses on its own footprint alone."""
    own, bare = (f"{pressure:.1f} kPa" for pressure in (standing.own_kpa, standing.bare_kpa))
    if not standing.carries_g:
        return own
    return f"{own} on dowels, {bare} without" if supported else bare


def stands_words(standing: Standing, measures: Measures) -> str:
    """Say what a tier stands on."""
    on = f"dowels in the {standing.on}" if standing.on else "the table"
    return f"board {board_words(standing, measures)}, on {on}"


def dowel_words(standing: Standing, measures: Measures) -> str:
    """Say the dowels that go into a tier."""
    if not standing.dowels:
        return "none"
    return f"{standing.dowels}, each {measures.length(round(standing.dowel_cm, 1))}"


def supports_words(plan: KitchenPlan, measures: Measures) -> str:
    """Say boards and dowels in one line, bottom first."""
    assert plan.stack is not None
    boarded = plan.stack.standings[: None if plan.brief.supported else 1]
    boards = ", ".join(board_words(standing, measures) for standing in boarded)
    said = f"Boards, bottom first: {boards}." if len(boarded) > 1 else f"Board: {boards}."
    carrying = [standing for standing in plan.stack.standings if standing.dowels]
    if not plan.brief.supported or not carrying:
        return said
    dowels = ", ".join(f"{dowel_words(standing, measures)} in the {standing.tier.name}" for standing in carrying)
    return f"{said} Dowels: {dowels}."


def board_words(standing: Standing, measures: Measures) -> str:
    at_least = "" if standing.on else "at least "
    width, depth = (_sold(cm, measures) for cm in (standing.board_width_cm, standing.board_depth_cm))
    return f"{at_least}{width}" if width == depth else f"{at_least}{width} by {depth}"


def _sold(cm: float, measures: Measures) -> str:
    """Round a board up to a size that is sold: whole centimetres or inches."""
    step = CM_PER_INCH if measures.is_customary("length") else 1.0
    return measures.length(step * math.ceil(cm / step - 0.01))


def servings_words(plan: KitchenPlan) -> str:
    """Say what it is cut into, and set the fewest portions against the guests."""
    served, guests = plan.servings, plan.options.guests
    beside = counted(served.cupcakes, "cupcake") if served.cupcakes else ""
    if not served.fewest:
        said = f"Serves {served.cupcakes}: {beside}."
    else:
        said = f"Cuts into {between(*served.slices)} {plan.options.slice} slices"
        said += f"; with {beside} it serves {between(*served.whole)}." if beside else "."
    if guests is None:
        return said
    spare = served.spare(guests)
    by = "Counted by the fewest, " if served.fewest else ""
    if spare == 0:
        return f"{said} {by or 'It is '}exactly enough for the {guests} guests."
    if spare > 0:
        return f"{said} {by}{spare} more than the {guests} guests."
    beside_it = f"bake {counted(-spare, 'cupcake')} or a kitchen cake beside it"
    return f"{said} {by}{-spare} short of the {guests} guests: {beside_it}."


def between(low: int, high: int) -> str:
    return f"{low}" if low == high else f"{low} to {high}"


def slice_words(plan: KitchenPlan, measures: Measures) -> str:
    """Say what a slice counts, least and most."""
    fact = plan.slice_ml
    if measures.is_customary("length"):
        low, high = (round(ml / CM_PER_INCH**3) for ml in (fact.low, fact.high))
        return f"A slice counts {low} to {high} in³ of sponge and filling"
    return f"A slice counts {volumes(fact.low, fact.high, measures)} of sponge and filling"
