from __future__ import annotations

import datetime as dt
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.dialects import sqlite
from sqlalchemy.exc import StatementError

from webapp.records.columns import UtcTime, json_text

documents = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
)


@given(documents)
def test_a_document_comes_back_key_by_key(document):
    text = json_text(document)
    assert text.isascii() and "\x00" not in text
    assert json_text(json.loads(text)) == text


def test_any_document_is_kept_on_either_database(records):
    for value in ({"b": "\ud800\u0000", "a": [1.0, 1, 1e-300, 10**30, True]}, "text", 0, None, []):
        records.settings.put("any", value)
        assert json_text(records.settings.get("any", "not kept")) == json_text(value)


def test_what_is_no_number_is_refused(records):
    with pytest.raises((ValueError, StatementError)):
        records.settings.put("any", float("nan"))
    assert records.settings.all() == {}


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="zone"):
        UtcTime().process_bind_param(dt.datetime(2027, 5, 1), sqlite.dialect())
