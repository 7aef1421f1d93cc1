"""What a pack holds and costs, as entries of a form: packs in grams or ounces as the reader buys, eggs by the piece."""

from __future__ import annotations

from webapp.catalogue.model import Ingredient
from webapp.pages.brief_address import Pair, number, plain
from webapp.pages.formatters import tidy
from webapp.pages.quantities import MASS
from webapp.units import GRAMS_PER_OUNCE, LITRES_PER_QUART, Measures

PACK, COST = "pack-", "cost-"
PACK_OZ = "pack_oz-"
POURED = 20.0  # water [g/100 g] from which on a food pours and is sold by volume; fats that are cut have less


def in_grams(pair: Pair) -> Pair:
    """Rename and convert a pack that was typed in ounces; what is no number stays, to be told so."""
    name, text = pair
    if not name.startswith(PACK_OZ):
        return pair
    value = number(text)
    return PACK + name.removeprefix(PACK_OZ), text if value is None else plain(MASS.read(value))


def _in_ounces(measures: Measures, *, in_pieces: bool) -> bool:
    return measures.is_customary(MASS.kind) and not in_pieces


def pack_name(id_: str, measures: Measures, *, in_pieces: bool) -> str:
    """Name the entry for what a pack of an ingredient holds."""
    return (PACK_OZ if _in_ounces(measures, in_pieces=in_pieces) else PACK) + id_


def pack_label(measures: Measures, *, in_pieces: bool) -> str:
    return "Eggs in a box" if in_pieces else f"Pack ({MASS.unit(measures)})"


def pack_text(holds: str, measures: Measures, *, in_pieces: bool) -> str:
    """Write what a pack holds, given in grams as it was typed, in the reader's units."""
    value = number(holds)
    if value is None or not _in_ounces(measures, in_pieces=in_pieces):
        return holds
    return plain(MASS.show(value, measures))


def pack_example(holds: float, measures: Measures, *, in_pieces: bool) -> str:
    """Write what a pack [g or pieces] is taken to hold, to the tenth: an example is not read back."""
    return tidy(round(MASS.show(holds, measures), 1) if _in_ounces(measures, in_pieces=in_pieces) else holds)


def litre_g(ingredient: Ingredient | None) -> float | None:
    """Return what a litre weighs [g] of what is poured and sold by volume; none for all else."""
    return 1000 * ingredient.density_g_ml if ingredient and ingredient.water > POURED else None


def litre_words(litre_g: float | None, measures: Measures) -> str:
    """Say what a litre of what is poured weighs, or a quart; nothing for all else."""
    if litre_g is None:
        return ""
    if measures.is_customary(MASS.kind):
        return f"1 qt weighs about {round(litre_g * LITRES_PER_QUART / GRAMS_PER_OUNCE)} oz"
    return f"1 L weighs about {round(litre_g / 10) * 10} g"
