from __future__ import annotations

import pytest


@pytest.mark.parametrize("value", [True, None, 3, 2.5, "metric", [1, {"a": None}], {}])
def test_a_setting_is_kept_until_it_is_set_anew_or_removed(records, value):
    assert records.settings.get("units", "usual") == "usual"
    records.settings.put("units", value)
    assert records.settings.get("units", "usual") == value
    records.settings.put("units", "other")
    assert records.settings.all() == {"units": "other"}
    records.settings.remove("units")
    assert records.settings.all() == {}
