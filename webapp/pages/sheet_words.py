"""What a client's sheet says: the choice, why, how long, what to do on the day. No costs, nothing of the kitchen."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from webapp.advice import phrases
from webapp.advice.brief import Brief
from webapp.advice.contract import Advice, Named, Verdict
from webapp.advice.label import BONE_CHAR, LAWS, Law, listed_by
from webapp.advice.service import class_of
from webapp.catalogue.composition import allergens
from webapp.catalogue.model import Catalogue, Formulation, ListedAllergen
from webapp.pages.cutaway import Scene, Sizes, scene_of
from webapp.pages.formatters import EGG_TREATMENTS, capital, hold_range, places_of, words
from webapp.pages.kept_advice import Kept
from webapp.pages.serving_times import ServingTimes, serving_times
from webapp.units import METRIC, US, Measures, duration

HORIZON_H = 12.0
# Cautions for whoever serves and eats; those for whoever cooks stay in the kitchen.
CAUTIONS = (
    "time-out",
    "at-risk-guests",
    "aquafaba-legume",
    "cross-contact",
    "not-food",
    "fresh-flowers",
    "heat-estimate",
)
# What may speak for a choice at the table; of equal ones the first. Heat and hours are said before, work is ours.
TASTES = ("sweetness", "mouthfeel", "finish", "piping", "richness", "colour", "humidity")
VERDICT_OF: dict[str, Verdict] = {"holds": "holds", "marginal": "marginal", "fails": "no-coat-holds"}
STANDS = {
    "indoors": "Stand it on a firm, level table, away from windows, heaters and lamps; the room at {air} or cooler.",
    "tent": "Stand it on a firm, level table in the middle of the tent, away from its walls, lamps and heaters.",
    "shade": "Stand it on a firm, level table in shade that lasts until it is cut: the sun moves.",
    "sun": "Stand it on a firm, level table, and shade it for as long as you can: every minute of sun counts.",
}
LAW_WORDS: dict[Law, str] = {"us": "By the US list", "eu": "By the EU and UK list"}
ALL_LAWS = "US, EU and UK lists"
OWN_HELP = "This sheet is planning help. Local food rules and your shop’s advice come first."
# What stands for an author where there is none.
NOT_CITED = {
    "assumption": "our own estimate",
    "common-practice": "usual practice of bakers",
    "from-memory": "from memory",
    "computed": "worked out by us",
}
WHITE_FAT = "high-ratio-shortening"


@dataclass(frozen=True, slots=True)
class Cited:
    """A sentence with whose it is; no source where it is the shop's own."""

    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Allergens:
    """What the buttercreams hold: for each law its words, what neither names, and what may be in it by the maker.

    Where the lists name the same, ``by_law`` is one row for all of them.
    """

    by_law: tuple[tuple[str, str], ...]
    unlisted: tuple[str, ...]
    to_check: tuple[tuple[str, str], ...]
    eggs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that is on the sheet, in its order."""

    client: str
    event: str
    day: str
    outside: tuple[str, str]
    inside: tuple[str, str]
    fat: str
    why: tuple[str, str]
    too_late: str
    stands: tuple[str, ...]
    food: tuple[Cited, ...]
    on_the_day: tuple[str, ...]
    allergens: Allergens | None
    cautions: tuple[Cited, ...]
    scene: Scene
    measures: Measures


def sheet_of(kept: Kept, measures: Measures, catalogue: Catalogue, out_before: int | None = None) -> Sheet | None:
    """Write the sheet of a kept consultation; none where it cannot be read any more or nothing was chosen.

    ``catalogue`` is the one of today with the brief's own formulas in it: allergens are told as they are known now.
    ``out_before`` says how many minutes before the display the cake leaves the fridge, as the plan of the work has it.
    """
    brief, advice = kept.brief, as_chosen(kept)
    if brief is None or advice is None or advice.pairing is None:
        return None
    outside, inside = places_of(brief)
    pairing, record = advice.pairing, kept.record
    parts = (pairing.coat.formulation, pairing.filling.formulation)
    times = serving_times(advice, brief, out_before)
    return Sheet(
        client=record.client,
        event=record.event,
        day=_day(kept, brief, measures),
        outside=(outside, pairing.coat.name),
        inside=(inside, pairing.filling.name),
        fat=_fat(parts, catalogue),
        why=why(kept, advice, brief, measures),
        too_late=_too_late(times, measures),
        stands=tuple(_stands(advice, brief, times, measures)),
        food=tuple(_food(advice, times, measures, catalogue)),
        on_the_day=tuple(_on_the_day(advice, brief, times, measures)),
        allergens=allergens_of(parts, catalogue),
        cautions=tuple(_cautions(advice, parts, catalogue)),
        scene=_scene(advice, brief, measures, catalogue),
        measures=measures,
    )


def _scene(advice: Advice, brief: Brief, measures: Measures, catalogue: Catalogue) -> Scene:
    """Draw the cake without thermometer and crumb, and name its dowels without the rule that gives their number."""
    unwarmed = advice.model_copy(update={"hold": None})
    scene = scene_of(brief, unwarmed, measures, Sizes.of(catalogue), with_crumb=False)
    entries = [replace(each, text=without_rule(each.text)) for each in scene.entries]
    return replace(scene, entries=tuple(entries))


def without_rule(text: str) -> str:
    """Leave out of a dowel's words what its number goes by, which is the kitchen's."""
    return re.sub(r"[,;] by rule of thumb$", "", text)


def as_chosen(kept: Kept) -> Advice | None:
    """Return the advice about the pairing that the client chose; none where that one was never judged."""
    advice, chosen = kept.advice, kept.chosen
    if advice is None or advice.pairing is None or chosen in (None, kept.advised):
        return advice
    named = {part.formulation: part for each in advice.pairings for part in (each.coat, each.filling)}
    ranked = {each.formulation: each for each in (*advice.coats, *advice.fillings)}
    parts = [named.get(id_) or _named(ranked.get(id_)) for id_ in chosen]
    hold = kept.hold(chosen[0])
    if parts[0] is None or parts[1] is None or hold is None:
        return None
    assured = hold.low_h if hold.low_h < HORIZON_H else None
    of_choice = {"coat": parts[0], "filling": parts[1], "needs_dam": False, "summary": ""}
    changed = {
        "pairing": advice.pairing.model_copy(update=of_choice),
        "verdict": VERDICT_OF[class_of(hold.chance)],
        "hold": hold,
        "parts": None,
        "cut_by": None if assured is None else f"{phrases.later(advice.brief.start_time, assured):%H:%M}",
    }
    return advice.model_copy(update=changed)


def _named(ranked: object) -> Named | None:
    fields = {name: getattr(ranked, name, None) for name in Named.model_fields}
    return None if None in fields.values() else Named.model_validate(fields)


def _day(kept: Kept, brief: Brief, measures: Measures) -> str:
    day = kept.record.event_date or brief.date
    return measures.full_day(day) if day else ""


def why(kept: Kept, advice: Advice, brief: Brief, measures: Measures) -> tuple[str, str]:
    """Say in two sentences why this pairing: the heat, then the taste."""
    return _heat(advice, brief, measures), _taste(kept, advice)


def _heat(advice: Advice, brief: Brief, measures: Measures) -> str:
    hold, pairing = advice.hold, advice.pairing
    assert hold is not None and pairing is not None
    where = f"{phrases.PLACES[brief.setting]} at up to {measures.temperature(brief.warmest_c)}"
    coat = f"The {pairing.coat.family_name} coat"
    keeps = {
        "holds": "is expected to keep",
        "marginal": "may not keep",
        "no-coat-holds": "is not expected to keep",
    }[advice.verdict]
    return (
        f"{coat} {keeps} its look {where}: likely {hold_range(hold)}, and you need {measures.duration(hold.needed_h)}."
    )


def _taste(kept: Kept, advice: Advice) -> str:
    if kept.chosen not in (None, kept.advised) and kept.advised is not None:
        coat, filling = (kept.name(each) for each in kept.advised)
        advised = coat if coat == filling else f"{coat} with {filling}"
        return f"You chose it over {advised}, which was advised."
    speaking = [reason for reason in advice.reasons if reason.speaks == "for" and reason.criterion in TASTES]
    if not speaking:
        return "It is the best for this day of all that fits your wishes."
    return max(speaking, key=lambda reason: (reason.value, -TASTES.index(reason.criterion))).text


def _fat(parts: Iterable[str], catalogue: Catalogue) -> str:
    lines = [line for each in _known(parts, catalogue) or () for line in each.lines]
    name = next((line.ingredient.name for line in lines if line.ingredient.id == WHITE_FAT), "")
    return f"{name} is a solid white fat." if name else ""


def _stands(advice: Advice, brief: Brief, times: ServingTimes, measures: Measures) -> Iterator[str]:
    where, boxed = capital(phrases.PLACES[brief.setting]), _boxed_until(advice)
    if times.is_over_on_arrival:
        yield f"{where}, planned from {measures.clock(brief.start_time)}."
    elif boxed is None:
        yield f"{where}, from {measures.clock(brief.start_time)}."
    else:
        set_down = f"set it down at {measures.clock(brief.start_time)}, still in its box"
        opened = f"open the box at {measures.clock(boxed)}, so that no water settles on the cold coat"
        yield f"{where}: {set_down}; {opened}."
    if times.look_outlasts_food or not times.is_over_on_arrival:
        yield _look(advice, times, measures)


def _boxed_until(advice: Advice) -> dt.time | None:
    boxed = advice.moisture.boxed_until if advice.moisture else None
    return dt.time.fromisoformat(boxed) if boxed else None


def _too_late(times: ServingTimes, measures: Measures) -> str:
    """Say that food safety ends the cake's time sooner than it is to be cut; nothing where it does not."""
    if not times.food_ends_first or times.serve_by is None:
        return ""
    at, by = measures.clock(times.planned), measures.clock(times.serve_by)
    leaves = f"{'' if times.is_planned else 'at the latest '}at {measures.clock(times.leaves)}"
    if times.is_over_on_arrival:
        first = f"For food safety, the cake’s time is over at {by}, before guests can be served."
    else:
        first = f"For food safety, serve the cake by {by}."
    return (
        f"{first} The plan to cut it at {at} is too late for a cake that leaves the fridge {leaves}: talk to the shop."
    )


def _look(advice: Advice, times: ServingTimes, measures: Measures) -> str:
    if advice.verdict == "no-coat-holds":
        return "No time is promised for its look: keep it cold, and bring it out just before it is cut."
    if times.look_outlasts_food:
        return "The buttercream keeps its look longer, but that does not make it safe to eat."
    if advice.verdict == "marginal" and advice.cut_by:
        by = measures.clock(dt.time.fromisoformat(advice.cut_by))
        return f"Cut it by {by}: until then nine in ten such cakes keep their look."
    return f"Cut it at {measures.clock(times.planned)} as planned; its look keeps until then."


def _food(advice: Advice, times: ServingTimes, measures: Measures, catalogue: Catalogue) -> Iterator[Cited]:
    """Say the rule of time for food, and what heat does to it."""
    if advice.food_clock is None or times.serve_by is None:
        return
    usual, hot, above = (catalogue.fact("out:home", name).value for name in ("hours", "hot_hours", "hot_above"))
    by, limit = measures.clock(times.serve_by), duration(advice.food_clock.limit_h)
    warm = f"{METRIC.temperature(above)} ({US.temperature(above)})"
    if advice.food_clock.limit_h < usual:
        heat = f" That short as the air or the coat gets warmer than {warm}; else it is {duration(usual)}."
    else:
        heat = f" If it gets warmer than {warm}, the limit is {duration(hot)}."
    since = "from the fridge" if times.is_planned else "from leaving the shop, sooner if boxing it took long"
    yield Cited(
        f"Food safety has a clock of its own: {limit} {since}, so until {by}.{heat}",
        _author(advice, advice.food_clock.source, catalogue),
    )


def _on_the_day(advice: Advice, brief: Brief, times: ServingTimes, measures: Measures) -> Iterator[str]:
    if times.is_over_on_arrival and times.serve_by is not None:
        over = f"As planned, food safety ends at {measures.clock(times.serve_by)}, before it can be served"
        yield f"{over}: settle another plan with the shop first."
    else:
        yield _until_the_display(brief, times, measures)
    if brief.travel_minutes:
        on_the_way = measures.duration(brief.travel_minutes / 60)
        yield (
            f"On the road ({on_the_way}): level, in its box, with the air around it at"
            f" {measures.temperature(brief.travel_air_c)} or cooler. Never leave it in a parked car."
        )
    if not times.is_over_on_arrival:
        yield STANDS[brief.setting].format(air=measures.temperature(brief.warmest_c))
    yield "Touch only the board: fingers leave marks."
    if times.serve_by is None or times.is_over_on_arrival:
        yield "Put what is left in the fridge at once. Throw away what was out of it for longer than the rule allows."
        return
    by = measures.clock(times.serve_by)
    yield f"Serve it by {by}."
    yield f"Put what is left in the fridge at once. Throw away whatever was still out of the fridge at {by}."


def _until_the_display(brief: Brief, times: ServingTimes, measures: Measures) -> str:
    """Say how long the cake stays in the fridge, and what fills the time from then until the display."""
    if not times.is_planned:
        return f"Until it is {'boxed for the road' if brief.travel_minutes else 'set up'} it stays in the fridge."
    work = "getting it ready, the road and" if brief.travel_minutes else "getting it ready and"
    until = measures.clock(brief.start_time)
    return f"Until {measures.clock(times.leaves)} it stays in the fridge; {work} setting it up take until {until}."


def allergens_of(parts: Iterable[str], catalogue: Catalogue) -> Allergens | None:
    """Gather the allergens of some formulations; none where one of them is not known any more."""
    found = _known(parts, catalogue)
    if found is None:
        return None
    held = frozenset[str]().union(*(allergens(each) for each in found))
    listed = {law: [each for each in listed_by(law, catalogue) if each.allergen in held] for law in LAWS}
    named = {each.allergen for rows in listed.values() for each in rows}
    unlisted = tuple(words(code) for code in sorted(held - named))
    return Allergens(tuple(_by_law(listed)), unlisted, tuple(labels_to_check(found)), tuple(_eggs(found)))


def _by_law(listed: dict[Law, list[ListedAllergen]]) -> Iterator[tuple[str, str]]:
    """Yield what each law names; once for all where they name the same and none wants the kind said."""
    texts = {law: ", ".join(each.words for each in rows) or "none of those listed" for law, rows in listed.items()}
    names_the_same = len({frozenset(each.allergen for each in rows) for rows in listed.values()}) == 1
    if names_the_same and not any(each.asks for rows in listed.values() for each in rows):
        yield "Contains", f"{texts['us'].lower()} ({ALL_LAWS})"
        return
    for law, text in texts.items():
        yield LAW_WORDS[law], text


def _known(parts: Iterable[str], catalogue: Catalogue) -> list[Formulation] | None:
    known = [catalogue.formulations.get(id_) for id_ in dict.fromkeys(parts)]
    found = [each for each in known if each is not None]
    return found if len(found) == len(known) else None


def labels_to_check(formulations: Iterable[Formulation]) -> Iterator[tuple[str, str]]:
    """Yield what may hold more by its maker, with the allergens of which its label speaks."""
    lines = {line.ingredient.id: line.ingredient for each in formulations for line in each.lines}
    for ingredient in lines.values():
        may_hold = sorted(ingredient.may_hold - {BONE_CHAR})
        if may_hold:
            yield ingredient.name.partition(" (")[0].lower(), ", ".join(words(code).lower() for code in may_hold)


def _eggs(formulations: Iterable[Formulation]) -> Iterator[str]:
    for each in formulations:
        if each.egg_treatment != "none":
            yield f"Egg in “{each.name}”: {EGG_TREATMENTS[each.egg_treatment]}."


def _cautions(advice: Advice, parts: Iterable[str], catalogue: Catalogue) -> Iterator[Cited]:
    """Yield the cautions that were kept, and those that another choice than the advised one calls for."""
    kept = {caution.id: Cited(caution.text, _author(advice, caution.source, catalogue)) for caution in advice.cautions}
    for id_ in _called_for(parts, catalogue):
        rule = catalogue.rules[id_]
        kept.setdefault(id_, Cited(rule.sentence, _author(advice, rule.source, catalogue)))
    yield from (kept[id_] for id_ in CAUTIONS if id_ in kept)
    yield Cited(OWN_HELP)


def _called_for(parts: Iterable[str], catalogue: Catalogue) -> Iterator[str]:
    found = _known(parts, catalogue)
    if found is None or any("egg" in allergens(each) for each in found):
        yield "at-risk-guests"
    if found is None or any(line.ingredient.id == "aquafaba" for each in found for line in each.lines):
        yield "aquafaba-legume"


def _author(advice: Advice, source: str, catalogue: Catalogue) -> str:
    if source in NOT_CITED:
        return NOT_CITED[source]
    known = catalogue.sources.get(source)
    cited = advice.sources.get(source) or (known.citation if known else source)
    return cited.partition(", ")[0]
