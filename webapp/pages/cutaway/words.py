"""What the drawing shows, said in words: the key beside it, its title and its description."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.advice.brief import Brief
from webapp.advice.contract import Advice, HoldOut
from webapp.advice.heat import CUPCAKE, size_name
from webapp.pages.cutaway.layout import Sizes, dowel_count
from webapp.pages.formatters import peak, softening, tier_in_words
from webapp.units import Measures

COLOURS = {"white": "white or ivory", "pastel": "a pastel", "deep": "a deep colour", "dark": "dark"}
PIPING = {
    "borders": "borders of beads",
    "rosettes": "rosettes",
    "fine": "strings and small flowers",
}
SPONGES = {"light": "light sponge", "butter": "butter sponge", "dense": "dense sponge"}
MOODS = {
    "holds": "smiles",
    "marginal": "bites its lip",
    "no-coat-holds": "breaks into a sweat",
    "nothing-fits": "scratches its head",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the key; a number where the drawing points at it."""

    term: str
    text: str
    number: int | None = None


def coat_words(brief: Brief, advice: Advice, measures: Measures) -> str:
    # A swirl has no finish to ask for, and a coat that is not there no thickness.
    look = ", ".join([COLOURS[brief.colour], *([brief.finish] if brief.tiers else [])])
    if not advice.pairing:
        return f"none fits yet; asked for: {look}"
    thick = f"{measures.thickness(brief.coat_mm)} thick, " if brief.tiers else ""
    return f"{advice.pairing.coat.name}; {thick}{look}"


def filling_words(brief: Brief, advice: Advice, sizes: Sizes, measures: Measures) -> str:
    if not advice.pairing:
        return "none fits yet"
    name = advice.pairing.filling.name
    if not brief.tiers:
        return f"{name}; in the middle"
    return f"{name}; each layer of it {_between(*map(measures.thickness, sizes.filling_ends_mm))} thick"


def sponge_words(brief: Brief) -> str:
    """Say how many layers each tier has, the bottom first; under a diet without naming what may be ruled out."""
    sponge = "sponge" if brief.diet else SPONGES[brief.sponge]
    if not brief.tiers:
        return sponge
    counts = [tier.layers for tier in brief.tiers]
    if len({*counts}) > 1:
        return f"{_listed([str(n) for n in counts])} layers of {sponge}, bottom tier first"
    layers = f"{counts[0]} {'layer' if counts[0] == 1 else 'layers'} of {sponge}"
    return layers if len(counts) == 1 else f"{layers} in each tier"


def board_words(brief: Brief) -> str:
    if len(brief.tiers) == 1:
        return "under the cake, on its stand"
    return "under each tier" if brief.supported else "under the bottom tier only: the upper tiers stand on the coat"


def dowel_words(brief: Brief) -> str:
    counts = [str(dowel_count(tier.width_cm)) for tier in brief.tiers[:-1]]
    if len(counts) == 1:
        return f"{counts[0]} in the bottom tier, by rule of thumb"
    return f"from the bottom up: {', '.join(counts)}, and one long one down the middle; by rule of thumb"


def warmth_words(brief: Brief, advice: Advice, hold: HoldOut, measures: Measures) -> str:
    start = measures.temperature(brief.start_c)
    rise = f"up from {start} to {peak(hold, measures)} before it is {'cut' if brief.tiers else 'served'}"
    return f"{rise}; softens at {softening(hold, measures)}{_where(brief, advice)}"


def _where(brief: Brief, advice: Advice) -> str:
    """Name the tier that decides, where there is more than one thing that could."""
    if not advice.course or len(brief.tiers) + bool(brief.cupcakes) < 2 or deciding_index(brief, advice) is None:
        return ""
    name = advice.course.tier
    return f"; the {name} {'feel' if name == CUPCAKE else 'feels'} it first"


def deciding_index(brief: Brief, advice: Advice) -> int | None:
    """Which tier decides, counted from the bottom; the cupcakes come after the last."""
    names = [size_name(brief, index) for index in range(len(brief.tiers) + bool(brief.cupcakes))]
    return names.index(advice.course.tier) if advice.course and advice.course.tier in names else None


def tier_words(brief: Brief, measures: Measures) -> str:
    """Say the size of every tier, bottom first; a height that they share once."""
    heights = [measures.length(tier.height_cm) for tier in brief.tiers]
    widths = [tier_in_words(tier, measures) for tier in brief.tiers]
    if len(widths) == 1:
        return f"{widths[0]}, {heights[0]} high"
    if len({*heights}) == 1:
        return f"bottom first, {_listed(widths)}, each {heights[0]} high"
    each = [f"{width}, {height} high" for width, height in zip(widths, heights, strict=True)]
    return "bottom first, " + "; ".join(each)


def cupcake_words(brief: Brief, sizes: Sizes, measures: Measures) -> str:
    across = _between(*map(measures.length, sizes.cupcake_width_ends_cm))
    swirl = _between(*map(measures.length, sizes.swirl_ends_cm))
    count = f"{brief.cupcakes}, one of them drawn" if brief.cupcakes > 1 else "one"
    return f"{count}: {across} across, its swirl {swirl} high"


def _between(low: str, high: str) -> str:
    """Say a range of two sizes with their unit once."""
    number, _, unit = low.rpartition(" ")
    return f"{number if high.endswith(f' {unit}') else low} to {high}"


def title_words(brief: Brief) -> str:
    count = len(brief.tiers)
    tiers = [f"a cake of {count} tier{'s' if count > 1 else ''}"] if count else []
    cups = [f"{brief.cupcakes} cupcake{'s' if brief.cupcakes > 1 else ''}"] if brief.cupcakes else []
    return "Cut-away of " + " and ".join([*tiers, *cups])


def description_words() -> str:
    return "Left half whole, right half cut open, drawn to scale. The list beside it says what each number points at."


def crumb_words(brief: Brief, advice: Advice) -> str:
    shade = " under a paper parasol" if brief.setting == "sun" else ""
    return f"A crumb on the table{shade} {MOODS[advice.verdict]}."


def _listed(items: list[str]) -> str:
    *first, last = items
    return f"{', '.join(first)} and {last}" if first else last
