"""The packs, prices and currency of this shop, as defaults for every plan that is made in it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import get_args

from flask import current_app

from webapp.advice.kitchen_plan import Pack, usual_packs
from webapp.advice.plan_options import Currency, PlanOptions
from webapp.catalogue.model import Catalogue
from webapp.pages.brief_address import Pair, plain
from webapp.pages.shop import records_if_any
from webapp.records.errors import StorageError
from webapp.records.prices import PriceList

CURRENCIES: tuple[Currency, ...] = get_args(Currency)
NONE_YET = PriceList({}, None)


def shop_prices() -> PriceList:
    """Return what this shop pays; nothing of its own where it has not said, or where that cannot be read."""
    try:
        records = records_if_any(current_app)
        return records.prices.get() if records else NONE_YET
    except StorageError as error:
        current_app.logger.warning("the shop's prices cannot be read: %s", type(error).__name__)
        return NONE_YET


def shop_packs(catalogue: Catalogue) -> dict[str, Pack]:
    """Return how everything is sold: as this shop says, else as is usual."""
    usual, own = usual_packs(catalogue), shop_prices().packs
    return usual | {id_: Pack(pack.holds, pack.price) for id_, pack in own.items() if id_ in usual}


def shop_currency() -> Currency:
    """Return the currency in which this shop buys."""
    said = shop_prices().currency
    return said if said in CURRENCIES else PlanOptions().currency


def with_shop_prices(options: PlanOptions, given: Iterable[Pair], catalogue: Catalogue) -> PlanOptions:
    """Fill options up with the shop's prices and currency; what an address says itself goes before them."""
    prices, usual = shop_prices(), usual_packs(catalogue)
    own = tuple(price_text(id_, pack.holds, pack.price) for id_, pack in prices.packs.items() if id_ in usual)
    is_said = any(name == "currency" for name, _ in given)
    # Of several prices of one ingredient the last counts.
    changed = {"price": own + options.price, "currency": options.currency if is_said else shop_currency()}
    return options.model_copy(update=changed)


def price_digits(price: float, currency: str) -> str:
    """Write a price with its hundredths, and with more digits only where it was given so; the yen has none."""
    digits = 0 if currency == "JPY" else 2
    return f"{price:.{digits}f}" if price == round(price, digits) else plain(price)


def price_text(ingredient: str, holds: float, price: float) -> str:
    """Write a pack and its price as the options of a plan do."""
    return f"{ingredient}:{plain(holds)}:{plain(price)}"
