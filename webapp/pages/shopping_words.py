"""Packs, prices and what is used of them, as a buyer reads them."""

from __future__ import annotations

import math
from collections.abc import Iterable

from webapp.advice.kitchen_plan import KitchenPlan, OtherCost, Purchase
from webapp.catalogue.model import Catalogue
from webapp.pages.brief_address import plain
from webapp.pages.formatters import tidy
from webapp.pages.household import ounces
from webapp.pages.pack_fields import PriceRow, ingredient_name, price_entries
from webapp.pages.plan_options import ASSUMED_IN
from webapp.pages.plan_words import counted, weighed
from webapp.pages.quantities import METRIC_DECIMALS
from webapp.pages.shop_prices import price_digits
from webapp.units import Measures

WHOLE_FROM = 10.0  # from here on the end of a range is told without hundredths


def pack_words(purchase: Purchase, measures: Measures) -> str:
    """Say what to buy: ``8 packs of 250 g``."""
    pack, wanted = purchase.packs, purchase.wanted
    if not pack:
        return "from the tap"
    holds = (wanted.used + purchase.left) / pack
    size = f"{tidy(holds)}" if wanted.in_pieces else pack_size(holds, measures)
    return f"{counted(pack, 'box' if wanted.in_pieces else 'pack').replace('boxs', 'boxes')} of {size}"


def pack_size(grams_each: float, measures: Measures) -> str:
    """Write what a pack holds as shops print it: from a kilogram on in kilograms; with pounds for who buys so."""
    if grams_each < 1000:
        return weighed(grams_each, measures)
    return f"{grams_each / 1000:.4g} kg" + (f" ({ounces(grams_each)})" if measures.is_customary("mass") else "")


def prices_words(plan: KitchenPlan) -> str:
    """Say which prices and packs are assumptions."""
    bought = [each for each in plan.shopping.purchases if each.packs]
    own = sum(each.wanted.id in plan.options.packs for each in bought)
    if own == len(bought):
        return "Every pack and price below is your own."
    yours = f"{own} of the {len(bought)} packs below {'is' if own == 1 else 'are'} your own; the others"
    currency = plan.options.currency
    if currency == ASSUMED_IN:
        return f"{yours if own else 'All packs and prices below'} are our assumptions, not shop prices."
    no_cost = f"and our rough prices are in euros, so what they cost in {currency} is not known"
    return f"{yours if own else 'All packs below'} are our assumptions, {no_cost}."


def own_prices_words(plan: KitchenPlan) -> str:
    """Say where prices of one's own are typed in; nothing where all are. Paper has no such place."""
    if all(each.wanted.id in plan.options.packs for each in plan.shopping.purchases if each.packs):
        return ""
    return "Type in your own further down, pack by pack."


def is_costed(plan: KitchenPlan, purchase: Purchase | None = None) -> bool:
    """Tell whether a cost can be told, of a line or of all: assumed prices are in one currency alone."""
    if plan.options.currency == ASSUMED_IN:
        return True
    lines = plan.shopping.purchases if purchase is None else (purchase,)
    return all(each.wanted.id in plan.options.packs for each in lines if each.packs)


def cost_words(plan: KitchenPlan, amount: float, purchase: Purchase | None = None) -> str:
    """Write what a line or all of the list costs, where that can be told."""
    return money(amount, plan.options.currency) if is_costed(plan, purchase) else "not known"


def portion_words(plan: KitchenPlan) -> str:
    """Say what coat and filling cost a portion; where the number of portions is a range, the most, rounded up."""
    if not is_costed(plan):
        return "What a portion costs can be told once every price above is your own."
    least, most = plan.servings.whole
    portion, currency = plan.slice_price, plan.options.currency
    if least == most:
        return f"Coat and filling cost {money(portion, currency)} a portion, at {least} portions."
    step = 1 if currency == "JPY" else 100
    highest = math.ceil(portion * step - 1e-9) / step
    return f"Coat and filling cost {money(highest, currency)} a portion at most, at {least} portions."


def others_costed(plan: KitchenPlan) -> list[OtherCost]:
    """Return the next pairings whose cost can be set against this one's."""
    if not is_costed(plan):
        return []
    is_home = plan.options.currency == ASSUMED_IN
    return [other for other in plan.others if is_home or other.assumed_price == 0]


def price_row(plan: KitchenPlan, purchase: Purchase, catalogue: Catalogue, measures: Measures) -> PriceRow:
    """Make the entries for a pack and its price; what is only assumed stands as an example.

    An assumed price is one only in the currency that it was thought of in.
    """
    wanted, holds = purchase.wanted, (purchase.wanted.used + purchase.left) / purchase.packs
    price = price_digits(purchase.price / purchase.packs, plan.options.currency) if is_costed(plan, purchase) else ""
    if wanted.id in plan.options.packs:
        typed = plain(round(holds, METRIC_DECIMALS)), price
        return price_entries(wanted.id, wanted.name, catalogue, measures, typed=typed, usual=None)
    return price_entries(wanted.id, wanted.name, catalogue, measures, typed=("", ""), usual=(holds, price))


def refused_rows(prices: Iterable[str], catalogue: Catalogue, measures: Measures) -> list[PriceRow]:
    """Make the entries for prices of an address of which one cannot be used, as they were typed."""
    parted = (text.split(":", 2) for text in prices)
    return [
        price_entries(id_, ingredient_name(id_, catalogue), catalogue, measures, typed=(holds, cost), usual=None)
        for id_, holds, cost in (each for each in parted if len(each) == 3)
    ]


def used_words(purchase: Purchase, amount: float, measures: Measures) -> str:
    return f"{amount:.0f}" if purchase.wanted.in_pieces else weighed(amount, measures)


def money(amount: float, currency: str) -> str:
    """Write a price with its currency's code; the yen has no hundredths. What costs something is never nothing."""
    least, digits = (1, 0) if currency == "JPY" else (0.01, 2)
    if 0 < amount < least / 2:
        return f"under {least:g} {currency}"
    return f"{amount:.{digits}f} {currency}"


def difference(amount: float, currency: str) -> str:
    """Say how another price differs."""
    if abs(amount) < 0.005:
        return "the same"
    return f"{money(abs(amount), currency)} {'more' if amount > 0 else 'less'}"


def price_range(plan: KitchenPlan) -> str:
    """Say between what the cost lies where prices are assumed.

    Nothing where all are one's own, or where the assumed ones are in a currency that they were not thought of in.
    """
    shopping, share, currency = plan.shopping, plan.price_share, plan.options.currency
    assumed, assumed_used = shopping.assumed(plan.options.packs)
    if not assumed or currency != ASSUMED_IN:
        return ""
    packs = tuple(shopping.price + assumed * (end - 1) for end in (share.low, share.high))
    used = tuple(shopping.used_price + assumed_used * (end - 1) for end in (share.low, share.high))
    fewest, most = plan.servings.whole
    portion = used[0] / most, used[1] / fewest
    return (
        f"Were shops to ask {share.low:g} to {share.high:g} times the prices assumed, itself an assumption, the packs "
        f"would cost {_between(packs, currency)}, what is used {_between(used, currency)}, "
        f"a portion {_between(portion, currency)}."
    )


def _between(ends: tuple[float, ...], currency: str) -> str:
    low, high = (_rough(end, currency) for end in ends)
    return f"{low} to {high} {currency}"


def _rough(amount: float, currency: str) -> str:
    return f"{amount:.0f}" if amount >= WHOLE_FROM or currency == "JPY" else f"{amount:.2f}"
