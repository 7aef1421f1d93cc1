"""Numbers and codes become text here, and nowhere else."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from typing import get_args

from markupsafe import Markup

from webapp.advice.brief import Brief, Diet, Equipment, Tier
from webapp.advice.contract import HoldOut, PairingOut
from webapp.advice.event_wording import MELTED_C
from webapp.advice.phrases import PLACES
from webapp.advice.plan_options import Currency
from webapp.catalogue.model import Fact, Formulation, Source
from webapp.pages.brief_fields import ASKED, CHOICES
from webapp.pages.fact_names import FACT_NAMES, PROPERTIES, SUBJECTS
from webapp.pages.quantities import QUANTITY_OF
from webapp.units import CM_PER_INCH, Measures, duration, lasting_between, lasting_with_range

HORIZON_H = 12.0
_FREE_OF: dict[Diet, str] = {
    "egg-free": "egg",
    "dairy-free": "dairy",
    "vegan": "anything from animals",
    "soy-free": "soy",
    "coconut-free": "coconut",
    "tree-nut-free": "tree nuts",
    "gluten-free": "gluten",
    "no-undercooked-egg": "undercooked egg",
}
_EQUIPMENT: dict[Equipment, str] = {"stand-mixer": "mixer", "thermometer": "thermometer"}
_BEFORE_UNIT = re.compile(
    r"(?<=\d) (?=[⅛¼⅜½⅝¾⅞]|\d{1,2}/16 in(?!\w))"
    r"|(?<=[\d⅛¼⅜½⅝¾⅞]) (?=(?:am|pm|°[CF]|%|h|hours?|min|cm|mm|in|g|kg|oz|lb|mL|L|qt|kJ|kcal)(?!\w))"
    rf"|(?<=\d) (?=(?:cm²|in²|kPa|days?|months?|{'|'.join(get_args(Currency))})(?!\w))"
    r"|(?<=\d) (?=\d{3} (?:g|cm²)(?!\w))"
    r"|(?<=\d h) (?=\d+ min(?!\w))"
)
# What HTML refuses in a page (controls, noncharacters) and UTF-8 cannot write (halves of a pair).
_LAST_TWO = "".join(chr(plane << 16 | last) for plane in range(1, 17) for last in (0xFFFE, 0xFFFF))
_UNREADABLE = re.compile(rf"[\x00-\x08\x0b-\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff{_LAST_TWO}]")

VERDICTS = {
    "holds": "Holds",
    "marginal": "May not hold",
    "no-coat-holds": "No coat holds",
    "nothing-fits": "Nothing fits",
}
HOLD_CLASSES = {"holds": "holds", "marginal": "may not hold", "fails": "does not hold"}
BASES = {
    "published": "published",
    "standard": "standard table",
    "common-practice": "common practice, no source",
    "computed": "computed from the formula",
    "from-memory": "from memory, not read again",
    "assumption": "assumption",
}

EGG_TREATMENTS = {
    "none": "none",
    "heated-71c": "heated to 71 °C (160 °F) with the sugar",
    "syrup-cooked": "hot syrup only: counts as undercooked",
    "pasteurised": "pasteurised",
}

SOURCE_KINDS = {
    "standard": "law, official table or advice",
    "published": "published study or leaflet",
    "handbook": "handbook",
    "web": "web page",
    "practice": "no source",
    "model": "our own",
}

STAGES = {
    "fat": "beat soft",
    "beat": "beat in",
    "flavour": "at the end",
    "meringue": "whip",
    "syrup": "cook to a syrup",
    "yolk-foam": "whip the yolks",
}


def unbroken(shown: object) -> object:
    """Keep a number on one line with its unit; markup and what is no text pass as they are."""
    return _BEFORE_UNIT.sub("\xa0", shown) if type(shown) is str else shown


def presentable(shown: object) -> object:
    """Keep a text as a page may hold it: what no page may is shown as a character that cannot be read."""
    kept = unbroken(shown)
    if isinstance(kept, str) and _UNREADABLE.search(kept):
        readable = _UNREADABLE.sub("\ufffd", str(kept))
        return Markup(readable) if isinstance(kept, Markup) else readable
    return kept


def tidy(number: float) -> str:
    """Write a number with at most two decimals and no trailing zeros."""
    return f"{number:.2f}".rstrip("0").rstrip(".").replace("-", "−")


def lasting(hours: float) -> str:
    """Say how long something lasts; beyond the horizon nothing is claimed."""
    return "12 h or more" if hours >= HORIZON_H else duration(hours)


def hold_range(hold: HoldOut) -> str:
    """Say a hold with its range, as in ``3 h 10 min (2 h 20 min to 4 h 30 min)``."""
    return _lasting_range(hold.likely_h, hold.low_h, hold.high_h)


def _lasting_range(likely_h: float, low_h: float, high_h: float) -> str:
    return lasting_with_range(likely_h, low_h, high_h) if high_h > 0 else "no time, soft on arrival"


def hold_ends(hold: HoldOut) -> str:
    """Say the low and the high of a hold, once where both are beyond the horizon."""
    if hold.low_h >= HORIZON_H:
        return lasting(hold.low_h)
    return lasting_between(hold.low_h, hold.high_h)


def chance(share: float) -> str:
    """Write a chance in percent; a finite number of draws never proves 0 or 100."""
    if share >= 0.995:
        return "over 99 %"
    return "under 1 %" if share <= 0.005 else f"{100 * share:.0f} %"


def peak(hold: HoldOut, measures: Measures) -> str:
    """Say how warm the coat gets, with its range; what has run off is not measured further."""
    return coat_range(hold.peak_coat_c, hold.peak_low_c, hold.peak_high_c, measures)


def coat_range(likely_c: float, low_c: float, high_c: float, measures: Measures) -> str:
    """Say a coat's warmth with its range, up to where it runs off."""
    if likely_c >= MELTED_C:
        return melted_range(low_c, measures)
    if high_c >= MELTED_C:
        return f"{measures.temperature(likely_c)} ({melted_range(low_c, measures)})"
    return temperature_range(likely_c, low_c, high_c, measures)


def runs_off(highs_c: Iterable[float]) -> bool:
    """Tell whether a coat that may get this warm [°C] has run off."""
    return max(highs_c) >= MELTED_C


def melted_range(low_c: float, measures: Measures) -> str:
    """Say a warmth from its low end to where the coat runs off, beyond which nothing is told."""
    end = f"{measures.temperature(MELTED_C)} or more"
    return end if low_c >= MELTED_C else f"{measures.temperature(low_c)} to {end}"


def softening(hold: HoldOut, measures: Measures) -> str:
    """Say where the coat loses this look, with the range."""
    return temperature_range(hold.softens_c, hold.softens_low_c, hold.softens_high_c, measures)


def temperature_range(likely_c: float, low_c: float, high_c: float, measures: Measures) -> str:
    """Say a temperature with its range, which is left out where nothing is uncertain in it."""
    likely, ends = measures.temperature(likely_c), measures.temperatures(low_c, high_c)
    return likely if low_c == high_c else f"{likely} ({ends})"


def points(value: float, low: float | None = None, high: float | None = None) -> str:
    """Write a value of 0..1 as points of 100, with its range where it is known."""
    ends = "" if low is None or high is None or low == high else f" ({100 * low:.0f} to {100 * high:.0f})"
    return f"{100 * value:.0f}{ends}"


def percent(share: float) -> str:
    """Write a share as a percentage."""
    return f"{100 * share:.0f} %"


def signed_hours(hours: float) -> str:
    """Write a moment relative to the arrival on the table."""
    return "arrival" if hours == 0 else ("−" if hours < 0 else "") + duration(abs(hours))


_CELSIUS = re.compile(r"(?:([−-]?\d+(?:\.\d+)?) to )?([−-]?\d+(?:\.\d+)?) °C")
_UNITS = {
    "feel": "of\xa010",
    "g/100g": "g per 100 g",
    "kcal/100g": "kcal per 100 g",
    "W/mK": "W/(m·K)",
    "J/kgK": "J/(kg·K)",
    "kg/m3": "kg/m³",
    "g/m2": "g/m²",
    "J/gK": "J/(g·K)",
}


def fact_range(fact: Fact, measures: Measures) -> str:
    """Write a fact with its range and unit, in the reader's units where there are such."""
    if fact.unit == "C":
        return _ranged(measures.temperature(fact.value), measures.temperatures(fact.low, fact.high), fact)
    if fact.unit == "K" and fact.basis == "computed":
        return _ranged(measures.warming(fact.value), measures.warmings(fact.low, fact.high), fact).replace("-", "−")
    if fact.unit == "K":
        # Whole degrees are enough for a temperature, not for a difference of a few tenths.
        value, low, high = (tidy(round(k / measures.each_degree(1), 1)) for k in (fact.value, fact.low, fact.high))
        return _ranged(f"{value} {measures.degree}", f"{low} to {high} {measures.degree}", fact)
    if fact.unit == "mL" and measures.is_customary("length") and fact.name == "volume":
        value, low, high = (f"{ml / CM_PER_INCH**3:.0f}" for ml in (fact.value, fact.low, fact.high))
        return _ranged(f"{value} in³", f"{low} to {high} in³", fact)
    if fact.unit == "feel/K":
        value, low, high = (tidy(measures.each_degree(feel)) for feel in (fact.value, fact.low, fact.high))
        return _ranged(f"{value} of 10 for each {measures.degree}", f"{low} to {high}", fact)
    if fact.unit == "h":
        asked = fact.name == "needed"
        return duration(fact.value) if asked else _lasting_range(fact.value, fact.low, fact.high)
    if fact.unit == "share":
        ends = f"{tidy(100 * fact.low)} to {tidy(100 * fact.high)} %"
        return _ranged(f"{tidy(100 * fact.value)} %", ends, fact)
    unit = "" if fact.unit == "-" else f" {_UNITS.get(fact.unit, fact.unit)}"
    value, low, high = (_figure(number, fact) for number in (fact.value, fact.low, fact.high))
    return _ranged(f"{value}{unit}", f"{low} to {high}", fact)


def _figure(number: float, fact: Fact) -> str:
    """Write a number as the data have it; what is computed or assumed has no more than three true digits."""
    shown = float(f"{number:.3g}") if fact.basis in ("computed", "assumption") else number
    return f"{round(shown, 3) + 0:g}".replace("-", "−")


def _ranged(value: str, ends: str, fact: Fact) -> str:
    """Write a value with its range, which stays on one line."""
    unbroken_ends = ends.replace(" ", "\xa0")
    return value if fact.low == fact.high else f"{value} ({unbroken_ends})"


def in_degrees(text: str, measures: Measures) -> str:
    """Rewrite the °C that a text of the data has in the reader's degrees: ``at 39 °F or colder``.

    A text that has both scales keeps them, the reader's first.
    """
    if "°F" in text:
        return own_degrees_first(text, measures)

    def said(found: re.Match[str]) -> str:
        low, high = (None if end is None else float(end.replace("−", "-")) for end in found.groups())
        assert high is not None  # only the lower end may be missing
        ends = measures.temperature(high) if low is None else measures.temperatures(low, high)
        return ends.replace("-", "−")

    return _CELSIUS.sub(said, text)


_BOTH_SCALES = re.compile(r"(−?\d+(?: to −?\d+)? °[CF]) \((−?\d+(?: to −?\d+)? °[CF])\)")


def own_degrees_first(text: str, measures: Measures) -> str:
    """Put the reader's degrees first where a rule has both, each as its source has it: ``71 °C (160 °F)``."""

    def ordered(found: re.Match[str]) -> str:
        first, other = found.groups()
        return f"{first} ({other})" if first.endswith(measures.degree) else f"{other} ({first})"

    return _BOTH_SCALES.sub(ordered, text)


def words(code: str) -> str:
    """Write an identifier of the data as words."""
    return code.replace("_", " ").replace("-", " ")


def capital(text: str) -> str:
    """Begin a text with a capital."""
    return text[:1].upper() + text[1:]


def imprint(source: Source) -> str:
    """Say who wrote a source, when and where it stands, as far as that is known."""
    authors = capital(source.author.replace(";", ","))
    return ", ".join(part for part in (authors, source.year, source.edition) if part)


def step(stage: str, formula: Formulation) -> str:
    """Say what is done with a line of a formula; soft fat is where an American begins and a foam ends."""
    is_foam = formula.family.egg_part != "none"
    return STAGES["beat" if stage == "fat" and is_foam else stage]


def small(text: str) -> str:
    """Begin a text with a small letter; what has a capital further on keeps it."""
    return text[:1].lower() + text[1:]


_UNIT_TAIL = re.compile(r"_(mm|cm|ml_m|ml|kg|c|k|l)$")


def property_name(code: str) -> str:
    """Name a property of the data; its unit stands at the number."""
    return PROPERTIES.get(code) or capital(words(_UNIT_TAIL.sub("", code)))


def fact_name(fact: Fact) -> str:
    """Name what a fact says of its subject."""
    return FACT_NAMES.get((fact.subject, fact.name)) or property_name(fact.name)


def day(date: dt.date, measures: Measures) -> str:
    """Write a day as it is said, on one line: ``26 June 2027``, ``June 26, 2027``."""
    return measures.date(date).replace(" ", "\xa0")


def subject_name(code: str) -> str:
    """Name what a fact is about."""
    return SUBJECTS.get(code) or capital(words(code).replace(":", ", "))


def field_noun(field: str) -> str:
    """Name a field of the brief, down to a tier's, as a sentence begins."""
    leaf = field.rpartition(".")[2]
    noun = ASKED[leaf].noun if leaf in ASKED else words(leaf)
    return capital(noun)


_ASKED_UNITS = {"travel_minutes": " min", "humidity_pct": " %", "cloud_pct": " %"}
_COUNTED = frozenset({"travel_minutes", "cupcakes"})  # none of them is no number to be read


def brief_value(field: str, value: object, measures: Measures) -> str:
    """Write one value of the brief as a person would say it."""
    if isinstance(value, Tier):
        return tier_in_words(value, measures)
    leaf = field.rpartition(".")[2]
    if leaf == "start" and value:
        return measures.clock(dt.time.fromisoformat(str(value)))
    if isinstance(value, dt.date):
        return measures.date(value)
    if leaf == "hold_hours" and isinstance(value, int | float):
        return measures.duration(value)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ", ".join(brief_value(leaf, item, measures) for item in value) or "none"
    key = str(value).lower() if isinstance(value, bool) else str(value)
    if key in CHOICES.get(leaf, {}):
        return CHOICES[leaf][key]
    if isinstance(value, int | float) and leaf in QUANTITY_OF:
        quantity = QUANTITY_OF[leaf]
        return f"{tidy(quantity.show(value, measures))} {quantity.unit(measures)}"
    if isinstance(value, int | float):
        return "none" if not value and leaf in _COUNTED else f"{tidy(value)}{_ASKED_UNITS.get(leaf, '')}"
    return str(value)


def tier_in_words(tier: Tier, measures: Measures) -> str:
    """Say one tier: ``round 30 cm``."""
    other = f" by {measures.length(tier.depth_cm)}" if tier.shape == "rectangle" and tier.depth_cm else ""
    return f"{tier.shape} {measures.length(tier.width_cm)}{other}"


def cake_in_words(brief: Brief, measures: Measures) -> str:
    """Say the cake in one line, bottom first; the outline of a tier only where it is not that of the one below."""
    below = (None, *(tier.shape for tier in brief.tiers))
    tiers = [
        tier_in_words(tier, measures).removeprefix(f"{tier.shape} " if tier.shape == shape else "")
        for tier, shape in zip(brief.tiers, below, strict=False)
    ]
    parts = [f"{len(tiers)} tier{'s' if len(tiers) > 1 else ''} ({', '.join(tiers)})"] if tiers else []
    if brief.cupcakes:
        parts.append(f"{brief.cupcakes} cupcake{'s' if brief.cupcakes > 1 else ''}")
    return " and ".join(parts)


def asked_besides(brief: Brief) -> str:
    """Say what else can leave nothing that fits: ``; free of egg and soy; no mixer``, or nothing."""
    *first, last = [_FREE_OF[diet] for diet in brief.diet] or [""]
    free_of = f"free of {', '.join(first)} and {last}" if first else f"free of {last}" if last else ""
    lacks = ", ".join(f"no {name}" for id_, name in _EQUIPMENT.items() if id_ not in brief.equipment)
    return "".join(f"; {part}" for part in (free_of, lacks) if part)


def place(setting: str) -> str:
    """Say within a sentence where the cake stands: ``in full sun``."""
    return PLACES[setting]


def places_of(brief: Brief) -> tuple[str, str]:
    """Say where the coat and the filling go."""
    return ("outside", "between the layers") if brief.tiers else ("on top", "inside")


def pairing_in_words(pairing: PairingOut, brief: Brief) -> str:
    """Say what to use in one line: ``American buttercream outside, Swiss between the layers``."""
    outside, inside = places_of(brief)
    coat, filling = pairing.coat, pairing.filling
    if coat.formulation == filling.formulation:
        return f"{coat.family_name} buttercream {outside} and {inside}"
    return f"{coat.family_name} buttercream {outside}, {filling.family_name} {inside}"
