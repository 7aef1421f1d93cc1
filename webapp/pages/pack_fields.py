"""What a pack holds and costs, as entries of a form: packs in grams or ounces as the reader buys, eggs by the piece."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.advice.kitchen_plan import EGGS
from webapp.catalogue.model import Catalogue, Ingredient
from webapp.pages.brief_address import Pair, number, plain
from webapp.pages.formatters import tidy
from webapp.pages.quantities import MASS
from webapp.units import GRAMS_PER_OUNCE, LITRES_PER_QUART, US, Measures

PACK, COST = "pack-", "cost-"
PACK_OZ = "pack_oz-"
POURED = 20.0  # water [g/100 g] from which on a food pours and is sold by volume; fats that are cut have less


def in_grams(pair: Pair, held: Mapping[str, float]) -> Pair:
    """Rename and convert a pack that was typed in ounces; what is no number stays, to be told so.

    ``held`` is what packs [g] hold so far, by ingredient: one that was shown and is sent back untouched stays to its
    last digit.
    """
    name, text = pair
    if not name.startswith(PACK_OZ):
        return pair
    id_, value = name.removeprefix(PACK_OZ), number(text)
    if value is None:
        return PACK + id_, text
    is_untouched = id_ in held and value == MASS.show(held[id_], US)
    return PACK + id_, plain(held[id_] if is_untouched else MASS.read(value))


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


def _example(holds: float, measures: Measures, *, in_pieces: bool) -> str:
    """Write what a pack [g or pieces] is taken to hold, to the tenth: an example is not read back."""
    return tidy(round(MASS.show(holds, measures), 1) if _in_ounces(measures, in_pieces=in_pieces) else holds)


def litre_words(ingredient: Ingredient | None, measures: Measures) -> str:
    """Say what a litre weighs, or a quart, of what is poured and sold by volume; nothing for all else."""
    if ingredient is None or ingredient.water <= POURED:
        return ""
    if measures.is_customary(MASS.kind):
        quart_g = 1000 * ingredient.density_g_ml * LITRES_PER_QUART
        return f"1 qt weighs about {round(quart_g / GRAMS_PER_OUNCE)} oz"
    return f"1 L weighs about {round(100 * ingredient.density_g_ml) * 10} g"


def ingredient_name(id_: str, catalogue: Catalogue) -> str:
    """Name what is bought; eggs are no ingredient of the book, which has their parts."""
    known = catalogue.ingredients.get(id_)
    return known.name if known else id_.replace("-", " ").capitalize()


@dataclass(frozen=True, slots=True)
class PriceRow:
    """Two entries for what one ingredient is bought in: their names, what was typed, examples of what is usual.

    ``per_volume`` says what a litre or quart weighs of what is poured.
    """

    name: str
    per_volume: str
    pack: str
    pack_label: str
    holds: str
    usual_holds: str
    cost: str
    price: str
    usual_price: str


def price_entries(
    id_: str,
    name: str,
    catalogue: Catalogue,
    measures: Measures,
    *,
    typed: tuple[str, str],
    usual: tuple[float, str] | None,
) -> PriceRow:
    """Make the entries for one ingredient from what a pack holds and costs: as ``typed``, and as is ``usual``."""
    known, in_pieces = catalogue.ingredients.get(id_), id_ == EGGS
    return PriceRow(
        name=name,
        per_volume=litre_words(known, measures),
        pack=pack_name(id_, measures, in_pieces=in_pieces),
        pack_label=pack_label(measures, in_pieces=in_pieces),
        holds=pack_text(typed[0], measures, in_pieces=in_pieces),
        usual_holds=_example(usual[0], measures, in_pieces=in_pieces) if usual else "",
        cost=COST + id_,
        price=typed[1],
        usual_price=usual[1] if usual else "",
    )
