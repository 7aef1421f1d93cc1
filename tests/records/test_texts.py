from __future__ import annotations

import pytest

from webapp.records.errors import RecordRefused
from webapp.records.texts import clean_name, clean_remark


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("  Zoë \t Müller\n", "Zoë Müller"), ("山田", "山田"), ("a" * 200, "a" * 200), ("<b>&", "<b>&"), ("🎂", "🎂")],
)
def test_a_name_is_one_line_as_it_was_meant(typed, kept):
    assert clean_name("client", typed) == kept


def test_a_remark_keeps_its_lines():
    assert clean_remark("remark", "\n In a tent. \r\n\r\nFine.\n") == "In a tent.\n\nFine."
    assert clean_remark("remark", " ") == ""


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "empty"),
        ("a" * 201, "201 characters"),
        ("a\x07", "cannot be seen"),
        ("\u200b \u202e\xa0", "empty"),  # seen to fail: it was kept, and its row in the list had nothing to press
    ],
)
def test_a_name_that_is_none_is_refused_with_the_field_and_what_is_allowed(text, problem):
    with pytest.raises(RecordRefused, match=problem) as refused:
        clean_name("client", text)
    assert refused.value.problem.field == "client"
    assert refused.value.problem.allowed


@pytest.mark.parametrize("text", ["a\x07b", "a\ud800", "x" * 4001, ("x" * 100 + "\n") * 41])
def test_a_remark_that_cannot_be_kept_is_refused(text):
    with pytest.raises(RecordRefused):
        clean_remark("remark", text)
