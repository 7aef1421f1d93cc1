"""The sentences of the advice: short, concrete, the verdict first. Every number comes with its range."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

from webapp.advice.brief import Brief
from webapp.advice.firmer_fat import FirmerFat
from webapp.advice.heat import PartHold
from webapp.advice.levers import HOTTER_K, SHIFTS_K, Lever, Stress
from webapp.advice.moisture import Crust, Sweat
from webapp.advice.own_formulas import PREFIX
from webapp.catalogue.model import Catalogue, Formulation
from webapp.decision.criteria import Names
from webapp.decision.model import HOLDS_FROM, MARGINAL_FROM, HoldFacts
from webapp.units import LOOK_AHEAD_H, Measures, duration, lasting, lasting_between, lasting_with_range

PLACES = {
    "indoors": "indoors",
    "tent": "in a tent",
    "shade": "in the shade",
    "sun": "in full sun",
}
SHADES = {"white": "white", "pastel": "a pastel", "deep": "a deep colour", "dark": "a dark colour"}


def spoken(formulation: Formulation) -> str:
    """Name a formulation in a sentence: ``American buttercream (half butter and half shortening)``."""
    if formulation.id.startswith(PREFIX):
        return f"{formulation.family.name} buttercream (“{formulation.name}”)"
    family, _, rest = formulation.name.partition(", ")
    if not rest:
        return f"{formulation.family.name} buttercream"
    style = " style" if family.endswith(" style") else ""
    return f"{formulation.family.name}{style} buttercream ({rest})"


def short_names(coat: Formulation, filling: Formulation, *, has_tiers: bool = True) -> Names:
    """Name the two halves as one speaks of them once they are introduced: ``the American coat``."""
    if coat.id == filling.id:
        both = f"{coat.family.name} buttercream"
        return Names(both, both, has_tiers)
    return Names(f"the {coat.family.name} coat", f"the {filling.family.name} filling", has_tiers)


LABELS = {
    "no-undercooked-egg": "no undercooked egg",
    "equipment": "what the kitchen lacks",
    "supported": "no boards and dowels",
    "piping": "fine piping",
}


def labelled(entry: str) -> str:
    """Name an entry of the brief that limits what fits."""
    return LABELS.get(entry, entry)


def sentence(text: str) -> str:
    """Start with a capital and end with a full stop."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")


def hold_phrase(hold: HoldFacts, *, is_tight: bool = False) -> str:
    """Say how long, the range, and what is needed; hours to spare are no degrees to spare where heat is tight."""
    need = "you cut it at once" if hold.needed_h == 0 else f"you need {duration(hold.needed_h)}"
    if hold.likely_h <= 1 / 24:
        return f"likely to be too soft on arrival{_at_best(hold.high_h)}; {need}"
    if hold.low_h >= LOOK_AHEAD_H - 1 / 24 and hold.needed_h < LOOK_AHEAD_H / 2:
        tight = ", but hardly any heat to spare" if is_tight else ""
        return f"likely to hold with hours to spare ({lasting(hold.low_h)}){tight}; {need}"
    return f"likely to hold {lasting_with_range(hold.likely_h, hold.low_h, hold.high_h)}; {need}"


def _at_best(high_h: float) -> str:
    """Say the range of a hold that is likely over on arrival; nothing where it never lasts."""
    return f" ({lasting_between(0.0, high_h)})" if high_h > 0 else ""


def headline(
    verdict: str,
    hold: HoldFacts,
    weakest: tuple[str, PartHold] | None = None,
    *,
    has_tiers: bool = True,
    is_tight: bool = False,
    piping_goes_first: bool = False,
) -> str:
    """Give the verdict in one sentence a client understands; a part weaker than the coat is named beside it.

    ``is_tight`` tells that hardly any heat is to spare, ``piping_goes_first`` that the hold is the piping's and the
    plain coat keeps its shape longer.
    """
    match verdict:
        case "holds":
            told = sentence(hold_phrase(hold, is_tight=is_tight))
        case "marginal":
            told = _doubt(hold, has_tiers)
        case _:
            what = "even on the best coat the piping" if piping_goes_first else "even the best coat"
            return sentence(f"{what} is {hold_phrase(hold)}")
    if weakest is None:
        return told
    name, part = weakest
    return f"{told} But {name} may not: it keeps its shape {_often('long enough', part.chance)}."


def _doubt(hold: HoldFacts, has_tiers: bool) -> str:
    """Say of a doubtful hold how many keep their look, and how early it may go."""
    cakes = " cakes" if has_tiers else ""
    many = f"nearly all{cakes}" if hold.chance >= NEARLY_SURE else f"about {_tenths(hold.chance)}{cakes} in 10"
    keeps = "arrive in shape" if hold.needed_h == 0 else f"keep their look for the {duration(hold.needed_h)} you need"
    if hold.needed_h == 0 or hold.low_h >= hold.needed_h:
        return f"It may not hold: {many} {keeps}."
    early = "be soft on arrival" if hold.low_h <= 1 / 24 else f"lose it after as little as {duration(hold.low_h)}"
    return f"It may not hold: {many} {keeps}; the others may {early}."


NEARLY_SURE = 0.97  # from here on a chance is told in words


def _tenths(chance: float) -> int:
    return max(1, min(9, math.floor(chance * 10 + 0.5)))


def in_ten(chance: float) -> str:
    """Say a chance as so many in ten; never certain."""
    if chance >= NEARLY_SURE:
        return "nearly always"
    if chance <= 1 - NEARLY_SURE:
        return "hardly ever"
    times = _tenths(chance)
    return "about 1 time in 10" if times == 1 else f"about {times} times in 10"


def _often(what: str, chance: float) -> str:
    """Put a chance where it is spoken: ``hardly ever long enough``, ``long enough about 8 times in 10``."""
    times = in_ten(chance)
    return f"{what} {times}" if times.startswith("about") else f"{times} {what}"


def part_sentence(name: str, part: PartHold, needed_h: float) -> str:
    """Say how long one part keeps its shape, and how likely that is long enough."""
    spread = part.spread
    enough = _often("long enough" if needed_h > 0 else "in shape on arrival", part.chance)
    if spread.likely <= 1 / 24:
        return sentence(f"{name} is likely to be soft on arrival{_at_best(spread.high)}; {enough}")
    return sentence(
        f"{name} likely keeps its shape {lasting_with_range(spread.likely, spread.low, spread.high)}; {enough}"
    )


def setting_phrase(brief: Brief, measures: Measures) -> str:
    """Say where and how warm: ``in the shade at up to 31 °C``."""
    upto = "" if brief.setting == "indoors" else "up to "
    return f"{PLACES[brief.setting]} at {upto}{measures.temperature(brief.warmest_c)}"


def lever_effect(lever: Lever, brief: Brief, measures: Measures) -> str:
    """Say what to do and what it brings."""
    brought = dict(lever.also)
    steps = [_lever_action(lever.field, lever.after, brought, brief, measures)]
    alone = {"setting": "air_high_c", "air_high_c": "air_low_c"}
    for field, after in lever.also:
        if field not in ("air_low_c", alone.get(lever.field)) and not (field == "air_high_c" and "setting" in brought):
            steps.append(_lever_action(field, after, brought, brief, measures))
    return sentence(f"{' and '.join(steps)}, and a coat {_often('holds', lever.chance)}")


def _lever_action(field: str, after: Any, brought: dict[str, Any], brief: Brief, measures: Measures) -> str:
    match field:
        case "hold_hours":
            return f"cut it after {duration(after)}, or put it back in the cool then"
        case "start_c":
            return f"let it leave the kitchen at {measures.temperature(after)}"
        case "travel_c":
            return f"keep it in a cold box at {measures.temperature(after)} until it is set up"
        case "colour":
            return f"make it {SHADES[after]} instead of {SHADES[brief.colour]}"
        case "coat_mm":
            return f"spread the coat {measures.thickness(after)} thick"
        case "tiers":
            return f"make the {'top tier' if len(after) > 1 else 'cake'} {measures.length(after[-1].width_cm)} across"
        case "start":
            return f"bring it out at {measures.clock(after)} instead of {measures.clock(brief.start_time)}"
        case "air_high_c":
            return f"cool the room to {measures.temperature(after)}"
        case "setting" if after == "indoors":
            return f"keep it indoors at {measures.temperature(brought['air_high_c'])} until it is cut"
        case _:
            return f"stand it {PLACES[after]}"


def stress_sentence(stress: Stress, measures: Measures, *, has_tiers: bool = True) -> str:
    """Say how the answer stands when the forecast is wrong and the cutting late."""
    hotter, cut = measures.warming(HOTTER_K), "cut" if has_tiers else "served"
    hot, late, both = (in_ten(chance) for chance in (stress.hotter, stress.later, stress.both))
    spare = _spare_sentence(stress, measures)
    it, holds = "it" if spare else "the coat", _often("holds", stress.hotter)
    if hot == late == both:
        told = f"{hotter} hotter than given, {cut} an hour late, or both, {it} {holds}."
    elif _is_even(stress.hotter) and _toss_up(stress, measures) == hotter:  # told already
        told = f"{cut.capitalize()} an hour late it {_often('holds', stress.later)}; with both, {both}."
    else:
        told = f"{hotter} hotter than given {it} {holds}; {cut} an hour late, {late}; with both, {both}."
    return f"{spare} {told}" if spare else told


def _spare_sentence(stress: Stress, measures: Measures) -> str:
    """Say how much hotter it may get until it is in doubt, and until it is as likely lost as kept.

    In whole degrees of the reader's scale, what is to spare rounded down.
    """
    if stress.spare_k is None:
        return ""
    degree_k = _degree_k(measures)
    spare, toss_up = math.floor(stress.spare_k / degree_k), _toss_up(stress, measures)
    if toss_up is None:
        last = f"even {measures.warming(SHIFTS_K[-1])} hotter it more likely holds than not"
    else:
        # Rounded up to where its own chance is told as less than even.
        is_less = toss_up == measures.warming(HOTTER_K) and _tenths(stress.hotter) < 5
        last = f"{toss_up} hotter it is a toss-up{' at best' if is_less else ''}"
        if toss_up == measures.warming(degree_k):
            return f"The coat has hardly any heat to spare: {last}."
    if spare == 0:
        return f"The coat has hardly any heat to spare: {measures.warming(degree_k)} hotter it may not hold; {last}."
    return f"Up to {measures.warming(spare * degree_k)} hotter the coat still holds; {last}."


def _toss_up(stress: Stress, measures: Measures) -> str | None:
    """Say by how much hotter it is as likely lost as kept; none where it is in doubt now, or at no warming tried.

    Rounded up, but in step with the chance told at the usual miss of a forecast: that miss itself where its chance is
    even, and not past it where its chance is less.
    """
    if stress.spare_k is None or stress.even_k is None:
        return None
    degree_k = _degree_k(measures)
    even_k = math.ceil(stress.even_k / degree_k) * degree_k
    if even_k > degree_k and _is_even(stress.hotter):
        return measures.warming(HOTTER_K)
    return measures.warming(min(even_k, HOTTER_K) if stress.even_k <= HOTTER_K else even_k)


def _is_even(chance: float) -> bool:
    """Tell whether a chance is told as even."""
    return _tenths(chance) == 5


def _degree_k(measures: Measures) -> float:
    """Return one degree of the reader's scale [K]."""
    return 5 / 9 if measures.is_customary("temperature") else 1.0


def firmer_sentence(firmer: FirmerFat, catalogue: Catalogue) -> str:
    """Say how much of a coat's fat to swap for a firmer one so that it holds."""
    old, new = (catalogue.ingredients[id_].name.lower() for id_ in (firmer.swap.replaces, firmer.swap.with_))
    much = "all" if firmer.share > 0.99 else f"{round(100 * firmer.share)} %"
    return f"With {much} of its {old} swapped for {new} it {_often('holds', firmer.chance)}."


HARDLY_CRUSTS_MIN = 90.0  # nobody waits longer before smoothing, judgement
SWEATS = {
    "haze": "a thin haze of dew settles on {it}",
    "sweat": "{they} {sweat} visibly",
    "beads": "water beads on {it} and may run",
}
_ONE = {"it": "it", "they": "it", "its": "its", "stay": "stays", "have": "has", "sweat": "sweats"}
_MANY = {"it": "them", "they": "they", "its": "their", "stay": "stay", "have": "have", "sweat": "sweat"}


def sweat_sentence(
    sweat: Sweat,
    boxed_h: float | None,
    *,
    may_come_earlier: bool = True,
    stays_too_cold: bool = False,
    has_tiers: bool = True,
    has_drive: bool = True,
) -> str:
    """Say whether the cold cake sweats, for how long, and for how long its box should stay shut.

    ``may_come_earlier`` tells that the food rule leaves room for as much longer out of the fridge, ``stays_too_cold``
    that without ``boxed_h`` no box would help; else there is no time for one.
    """
    it = _ONE if has_tiers else _MANY
    if sweat.amount == "none":
        none = "{they} will not sweat to speak of: too little dew settles on {it} to be seen"
        return sentence(none.format(**it))
    lasts = f"for {lasting_with_range(sweat.hours.likely, sweat.hours.low, sweat.hours.high)}"
    if boxed_h is not None:
        warms = lasting_between(sweat.boxed_h.low if sweat.boxed_h else 0.0, boxed_h)
        where = "At the venue leave" if has_drive else "Leave"
        earlier = ", or bring {it} that much earlier" if may_come_earlier else ""
        shut = f"{where} {{it}} in {{its}} shut box until {{they}} {{have}} warmed, {warms}{earlier}."
    elif stays_too_cold:
        shut = "Even boxed {they} {stay} too cold to be dry in time."
    else:
        shut = "To warm {it} in {its} box first would take up time that {they} {have} not: expect the dew."
    told = sentence("if you unbox {it} at once, ".format(**it) + f"{SWEATS[sweat.amount].format(**it)} {lasts}")
    return f"{told} {shut.format(**it)}"


def crust_sentence(crust: Crust) -> str | None:
    """Say what this air does to the drying of a crust; none for a coat that forms none in any air."""
    if crust.minutes is None:
        return None
    if crust.minutes[1] > HARDLY_CRUSTS_MIN:
        return "In air this humid it will hardly crust: smooth it with a warm scraper instead of paper."
    low, likely, high = (5 * round(minutes / 5) for minutes in crust.minutes)
    if likely <= 5 * round(crust.usual_minutes / 5):
        return f"Wait about {likely} min ({low} to {high}) for the crust before smoothing with paper."
    return (
        f"In air this humid the crust takes longer, about {likely} min ({low} to {high}): wait for it before smoothing "
        "with paper."
    )


def deadline(
    start: dt.time,
    needed_h: float,
    assured_h: float | None,
    measures: Measures,
    *,
    is_failing: bool,
    has_tiers: bool = True,
    food_h: float | None = None,
) -> str | None:
    """Say by when to cut, or to serve what is not cut; none where nothing holds.

    ``food_h`` is when the rule for homes ends [h from the start], given where that is before the planned end.
    """
    if is_failing:
        return None
    cut, cakes = ("Cut", "cakes ") if has_tiers else ("Serve", "")
    if needed_h == 0:
        return f"{cut} {'it' if has_tiers else 'them'} on arrival."
    planned, is_over = clock(start, needed_h, measures), food_h is not None and food_h <= 0
    ends = None if food_h is None else clock(start, food_h, measures)
    if assured_h is None or assured_h >= needed_h:
        if ends is None:
            return f"{cut} at {planned} as planned; the look keeps longer than that."
        rule = "is already over on arrival" if is_over else f"ends at {ends} at the latest"
        return f"The look keeps past {planned}, when you mean to {cut.lower()}; the home food rule {rule}."
    by = clock(start, assured_h, measures)
    if food_h is None:
        return f"{cut} by {by}: until then nine {cakes}in ten keep their look."
    if is_over:
        return f"Nine {cakes}in ten keep their look until {by}; the home food rule is already over on arrival."
    if food_h >= assured_h:
        look = f"{cut} by {by}: until then nine {cakes}in ten keep their look."
        return f"{look} The home food rule ends at {ends} at the latest."
    rule = f"{cut} before {ends}, when the home food rule ends at the latest"
    return f"{rule}; nine {cakes}in ten keep their look until {by}."


# Only the best ten are told, so nine beside the first may be more.
_COUNTS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "at least nine")


def sure_sentence(
    coat_family: str, of_coat: float, of_pairing: float, near: int, where: str = "outside", *, is_failing: bool = False
) -> str:
    """Say how sure the choice is: of the coat, and of this very pairing; of coats that fail, which comes nearest."""
    if is_failing:
        return f"Of the coats that fail, {coat_family} likely comes nearest. It still does not hold."
    if of_coat >= 0.85:
        told = f"{coat_family} {where} is clearly the best choice."
    elif of_coat >= 0.6:
        told = f"{coat_family} {where} is most likely the best choice."
    else:
        told = f"{coat_family} {where} is only just ahead of the others."
    if near:
        others, simplest = ("other does", "simpler") if near == 1 else ("others do", "simplest")
        return f"{told} As a whole pairing, {_COUNTS[near]} {others} about as well; this is the {simplest} to make."
    return told if of_pairing >= 0.6 else f"{told} What goes between is a matter of taste."


def later(start: dt.time, hours: float) -> dt.time:
    """Return the local time ``hours`` after ``start``, rounded down to five minutes."""
    minutes = start.hour * 60 + start.minute + math.floor(hours * 12) * 5
    return dt.time(minutes // 60 % 24, minutes % 60)


def clock(start: dt.time, hours: float, measures: Measures) -> str:
    """Say the local time ``hours`` after ``start``, rounded down to five minutes."""
    return measures.clock(later(start, hours))


def is_holding(chance: float) -> str:
    """Name a chance's class in words."""
    if chance >= HOLDS_FROM:
        return "holds"
    return "may not hold" if chance >= MARGINAL_FROM else "does not hold"
