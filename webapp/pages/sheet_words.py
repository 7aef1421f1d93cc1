"""What a client's sheet says: the choice, why, how long, what to do on the day. No costs, nothing of the kitchen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from webapp.advice import phrases
from webapp.advice.brief import Brief
from webapp.advice.contract import Advice, Named, Verdict
from webapp.advice.food_clock import FRIDGE_C
from webapp.advice.label import BONE_CHAR, LAWS, Law, listed_by
from webapp.advice.service import class_of
from webapp.catalogue.composition import allergens
from webapp.catalogue.model import Catalogue, Formulation
from webapp.pages.cutaway import Scene, Sizes, scene_of
from webapp.pages.formatters import EGG_TREATMENTS, hold_range, places_of, words
from webapp.pages.kept_advice import Kept
from webapp.units import METRIC, US, Measures

HORIZON_H = 12.0
# Cautions for whoever serves and eats; those for whoever cooks stay in the kitchen.
CAUTIONS = (
    "planning-help",
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


@dataclass(frozen=True, slots=True)
class Cited:
    """A sentence with whose it is."""

    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Allergens:
    """What the buttercreams hold: for each law its words, what neither names, and which labels decide."""

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
    why: tuple[str, str]
    stands: tuple[str, ...]
    on_the_day: tuple[str, ...]
    allergens: Allergens | None
    cautions: tuple[Cited, ...]
    scene: Scene
    measures: Measures


def sheet_of(kept: Kept, measures: Measures, catalogue: Catalogue) -> Sheet | None:
    """Write the sheet of a kept consultation; none where it cannot be read any more or nothing was chosen.

    ``catalogue`` is the one of today with the brief's own formulas in it: allergens are told as they are known now.
    """
    brief, advice = kept.brief, kept.advice and as_chosen(kept)
    if brief is None or advice is None or advice.pairing is None:
        return None
    measures = measures_of(advice, measures)
    outside, inside = places_of(brief)
    pairing, record = advice.pairing, kept.record
    parts = (pairing.coat.formulation, pairing.filling.formulation)
    return Sheet(
        client=record.client,
        event=record.event,
        day=_day(kept, brief),
        outside=(outside, pairing.coat.name),
        inside=(inside, pairing.filling.name),
        why=why(kept, advice, brief, measures),
        stands=tuple(_stands(advice, brief, measures)),
        on_the_day=tuple(_on_the_day(advice, brief, measures)),
        allergens=allergens_of(parts, catalogue),
        cautions=tuple(_cautions(advice, parts, catalogue)),
        scene=_scene(advice, brief, measures, catalogue),
        measures=measures,
    )


def _scene(advice: Advice, brief: Brief, measures: Measures, catalogue: Catalogue) -> Scene:
    """Draw the cake without its thermometer, and name its dowels without the rule that gives their number."""
    scene = scene_of(brief, advice.model_copy(update={"hold": None}), measures, Sizes.of(catalogue))
    entries = [replace(each, text=each.text.partition(". Rule of thumb")[0]) for each in scene.entries]
    return replace(scene, entries=tuple(entries))


def measures_of(advice: Advice, wanted: Measures) -> Measures:
    """Return the reader's measures, unless the sentences that were kept have degrees of the other scale."""
    kept = advice.model_dump_json(include={"headline", "pairing", "moisture", "food_clock", "reasons"})
    if ("°F" in kept) == wanted.is_customary("temperature"):
        return wanted
    return US if "°F" in kept else METRIC


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
    verdict = VERDICT_OF[class_of(hold.chance)]
    start, needed = advice.brief.start_time, advice.brief.hold_hours
    of_choice = {"coat": parts[0], "filling": parts[1], "needs_dam": False, "summary": ""}
    changed = {
        "pairing": advice.pairing.model_copy(update=of_choice),
        "verdict": verdict,
        "hold": hold,
        "parts": None,
        "deadline": phrases.deadline(start, needed, assured, verdict == "no-coat-holds"),
        "cut_by": None if assured is None else phrases.clock(start, assured),
    }
    return advice.model_copy(update=changed)


def _named(ranked: object) -> Named | None:
    fields = {name: getattr(ranked, name, None) for name in Named.model_fields}
    return None if None in fields.values() else Named.model_validate(fields)


def _day(kept: Kept, brief: Brief) -> str:
    day = kept.record.event_date or brief.date
    return f"{day:%A} {day.day} {day:%B %Y}" if day else ""


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


def _stands(advice: Advice, brief: Brief, measures: Measures) -> Iterator[str]:
    where = phrases.PLACES[brief.setting]
    yield f"{where[:1].upper()}{where[1:]}, from {brief.start_time:%H:%M}."
    if advice.deadline:
        yield advice.deadline
    else:
        yield "No time is promised for its look: keep it cold, and bring it out just before it is cut."
    if advice.food_clock:
        yield f"Food safety has a clock of its own, and the earlier time counts. {advice.food_clock.sentence}"


def _on_the_day(advice: Advice, brief: Brief, measures: Measures) -> Iterator[str]:
    leaves = phrases.clock(brief.start_time, -brief.travel_minutes / 60)
    if brief.start_c <= FRIDGE_C:
        yield f"Until {leaves} it stays in the fridge, in its box."
    else:
        yield f"Until {leaves} it stays cool, in its box."
    if brief.travel_minutes:
        on_the_way = measures.duration(brief.travel_minutes / 60)
        yield (
            f"On the road ({on_the_way}): level, in its box, with the air around it at"
            f" {measures.temperature(brief.travel_air_c)} or cooler. Never leave it in a parked car."
        )
    if advice.moisture and advice.moisture.boxed_until:
        yield f"Leave the box shut until {advice.moisture.boxed_until}, so that no water settles on the cold coat."
    yield STANDS[brief.setting].format(air=measures.temperature(brief.warmest_c))
    yield "Touch only its board; where a finger meets the coat it shows."
    yield "What is left goes back into the fridge at once; what was out for longer than the rule allows is thrown away."


def allergens_of(parts: Iterable[str], catalogue: Catalogue) -> Allergens | None:
    """Gather the allergens of some formulations; none where one of them is not known any more."""
    found = _known(parts, catalogue)
    if found is None:
        return None
    held = frozenset[str]().union(*(allergens(each) for each in found))
    by_law, named = [], set[str]()
    for law in LAWS:
        listed = [each for each in listed_by(law, catalogue) if each.allergen in held]
        named |= {each.allergen for each in listed}
        by_law.append((LAW_WORDS[law], ", ".join(each.words for each in listed) or "none of those listed"))
    unlisted = tuple(words(code) for code in sorted(held - named))
    return Allergens(tuple(by_law), unlisted, tuple(_to_check(found)), tuple(_eggs(found)))


def _known(parts: Iterable[str], catalogue: Catalogue) -> list[Formulation] | None:
    known = [catalogue.formulations.get(id_) for id_ in dict.fromkeys(parts)]
    found = [each for each in known if each is not None]
    return found if len(found) == len(known) else None


def _to_check(formulations: Iterable[Formulation]) -> Iterator[tuple[str, str]]:
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


def _called_for(parts: Iterable[str], catalogue: Catalogue) -> Iterator[str]:
    found = _known(parts, catalogue)
    if found is None or any("egg" in allergens(each) for each in found):
        yield "at-risk-guests"
    if found is None or any(line.ingredient.id == "aquafaba" for each in found for line in each.lines):
        yield "aquafaba-legume"


def _author(advice: Advice, source: str, catalogue: Catalogue) -> str:
    known = catalogue.sources.get(source)
    cited = advice.sources.get(source) or (known.citation if known else source)
    return cited.partition(", ")[0]
