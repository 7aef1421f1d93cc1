"""What to buy in the packs that shops sell, what is left of them, and what the rest costs."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass

EGGS = "eggs"


@dataclass(frozen=True, slots=True)
class Pack:
    """How something is sold: so much of it [g, or pieces for eggs] at a price."""

    holds: float
    price: float


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is used of one thing, [g] or pieces, and how it is sold; ``pack`` is none for what comes from the tap."""

    id: str
    name: str
    used: float
    pack: Pack | None
    in_pieces: bool = False


@dataclass(frozen=True, slots=True)
class Purchase:
    """One line of a shopping list: packs, what is left of them [g, or pieces], the price of all and of what is used."""

    wanted: Wanted
    packs: int
    left: float
    price: float
    used_price: float


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """Everything to buy."""

    purchases: tuple[Purchase, ...]

    @property
    def price(self) -> float:
        """What the shop asks for the whole packs."""
        return math.fsum(purchase.price for purchase in self.purchases)

    @property
    def used_price(self) -> float:
        """What is used costs; packs that are left over go into other cakes."""
        return math.fsum(purchase.used_price for purchase in self.purchases)

    def assumed(self, own: Container[str]) -> tuple[float, float]:
        """What of the price, and of what is used, is for things that nobody gave a price of their own."""
        usual = [each for each in self.purchases if each.wanted.id not in own]
        return math.fsum(each.price for each in usual), math.fsum(each.used_price for each in usual)


def buy(wanted: Iterable[Wanted], packs: Mapping[str, Pack]) -> ShoppingList:
    """Return the list for what is wanted, with packs and prices of one's own over the usual ones."""
    return ShoppingList(tuple(_purchase(each, packs.get(each.id, each.pack)) for each in wanted if each.used > 0))


def _purchase(wanted: Wanted, pack: Pack | None) -> Purchase:
    if pack is None:
        return Purchase(wanted, 0, 0.0, 0.0, 0.0)
    # A thousandth of a pack is within what a scale shows: nobody buys another one for it.
    count = max(1, math.ceil(wanted.used / pack.holds - 1e-3))
    left = max(0.0, count * pack.holds - wanted.used)
    return Purchase(wanted, count, left, count * pack.price, wanted.used / pack.holds * pack.price)
