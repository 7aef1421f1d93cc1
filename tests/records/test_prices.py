from __future__ import annotations

import pytest

from webapp.records.errors import RecordRefused
from webapp.records.prices import PackPrice, PriceList

LIST = PriceList({"butter": PackPrice(250.0, 2.9), "eggs": PackPrice(10.0, 3.45)}, "GBP")


def test_a_shop_that_said_nothing_has_no_prices(records):
    assert records.prices.get() == PriceList({}, None)


def test_a_list_is_kept_as_it_was_put_and_replaced_as_a_whole(records):
    records.prices.put(LIST)
    assert records.prices.get() == LIST
    shorter = PriceList({"butter": PackPrice(500.0, 5.5)}, None)
    records.prices.put(shorter)
    assert records.prices.get() == shorter
    records.prices.put(PriceList({}, None))
    assert records.prices.get() == PriceList({}, None)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf"), 1e8])
def test_a_pack_that_cannot_be_is_refused_and_nothing_changed(records, bad):
    records.prices.put(LIST)
    for pack in (PackPrice(bad, 1.0), PackPrice(1.0, bad)):
        with pytest.raises(RecordRefused):
            records.prices.put(PriceList({"butter": pack}, "EUR"))
    assert records.prices.get() == LIST
