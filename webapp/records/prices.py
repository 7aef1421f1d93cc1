"""The shop's own packs and prices, and the currency it buys in."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sqlalchemy import delete, select

from webapp.errors import FieldProblem
from webapp.records.columns import utc_now
from webapp.records.errors import RecordRefused
from webapp.records.model import Price, Setting
from webapp.records.storage import Storage

CURRENCY = "currency"  # the setting
MOST = 1e7


@dataclass(frozen=True, slots=True)
class PackPrice:
    """What a pack holds [g, or pieces for eggs] and costs."""

    holds: float
    price: float


@dataclass(frozen=True, slots=True)
class PriceList:
    """What a shop pays; the currency is none where the shop has not said."""

    packs: Mapping[str, PackPrice]
    currency: str | None


class Prices:
    """The price list of one shop."""

    def __init__(self, storage: Storage, now: Callable[[], dt.datetime] = utc_now) -> None:
        self._storage = storage
        self._now = now

    def get(self) -> PriceList:
        """Return the whole list."""
        with self._storage.reading() as session:
            rows = session.scalars(select(Price).order_by(Price.ingredient)).all()
            currency = session.get(Setting, CURRENCY)
        return PriceList(
            {row.ingredient: PackPrice(row.holds, row.price) for row in rows}, currency.value if currency else None
        )

    def put(self, prices: PriceList) -> None:
        """Put a list in the place of the one that is there, all of it or nothing.

        Raises
        ------
        RecordRefused
            If a pack holds nothing, or a number is none or too large.
        """
        for ingredient, pack in prices.packs.items():
            _check(ingredient, pack)
        moment = self._now()
        with self._storage.writing() as session:
            known = {row.ingredient: row for row in session.scalars(select(Price))}
            session.execute(delete(Price).where(Price.ingredient.not_in(prices.packs)))
            for ingredient, pack in prices.packs.items():
                row = known.get(ingredient)
                if row is None or (row.holds, row.price) != (pack.holds, pack.price):
                    made = Price(ingredient=ingredient, holds=pack.holds, price=pack.price, updated_at=moment)
                    session.merge(made)
            session.execute(delete(Setting).where(Setting.key == CURRENCY))
            if prices.currency is not None:
                session.add(Setting(key=CURRENCY, value=prices.currency))


def _check(ingredient: str, pack: PackPrice) -> None:
    for value in (pack.holds, pack.price):
        if not (math.isfinite(value) and 0 < value <= MOST):
            raise RecordRefused(FieldProblem(ingredient, f"is {value:g}", f"above 0, at most {MOST:g}"))
