"""Packs, prices and what is used of them, as a buyer reads them."""

from __future__ import annotations

from webapp.advice.kitchen_plan import KitchenPlan, Purchase
from webapp.pages.formatters import tidy
from webapp.pages.household import ounces
from webapp.pages.plan_words import counted, grams
from webapp.units import Measures

ASSUMED_IN = "EUR"  # the currency in which the prices of ingredients.csv were thought of
LEAST_IN_OUNCES_G = 5.0
WHOLE_FROM = 10.0  # from here on the end of a range is told without hundredths


def pack_words(purchase: Purchase, measures: Measures) -> str:
    """Say what to buy: ``8 packs of 250 g``."""
    pack, wanted = purchase.packs, purchase.wanted
    if not pack:
        return "from the tap"
    holds = (wanted.used + purchase.left) / pack
    size = f"{tidy(holds)}" if wanted.in_pieces else pack_size(holds) + _in_ounces(holds, measures)
    return f"{counted(pack, 'box' if wanted.in_pieces else 'pack').replace('boxs', 'boxes')} of {size}"


def pack_size(grams_each: float) -> str:
    """Write what a pack holds as shops print it: from a kilogram on in kilograms."""
    return grams(grams_each) if grams_each < 1000 else f"{grams_each / 1000:.4g} kg"


def prices_words(plan: KitchenPlan) -> str:
    """Say which prices and packs are assumptions."""
    bought = [each for each in plan.shopping.purchases if each.packs]
    own = sum(each.wanted.id in plan.options.packs for each in bought)
    if own == len(bought):
        return "Every pack and price below is your own."
    whose = f"{own} of the {len(bought)} prices below are your own; the others" if own else "All packs and prices below"
    place = "below" if own else "further down"
    return f"{whose} are assumptions of ours, not a shop’s: type in your own {place}, pack by pack.{_foreign(plan)}"


def _foreign(plan: KitchenPlan) -> str:
    """Say that assumed prices are none in a currency that they were not thought of in."""
    currency = plan.options.currency
    if currency == ASSUMED_IN:
        return ""
    return f" They were thought of in euros: in {currency} they hold a place and tell no cost."


def used_words(purchase: Purchase, amount: float, measures: Measures) -> str:
    return f"{amount:.0f}" if purchase.wanted.in_pieces else grams(amount) + _in_ounces(amount, measures)


def _in_ounces(mass_g: float, measures: Measures) -> str:
    """Put pounds and ounces behind a mass for a reader who weighs so; a pinch has none."""
    is_told = measures.is_customary("mass") and mass_g >= LEAST_IN_OUNCES_G
    return f" ({ounces(mass_g)})" if is_told else ""


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
