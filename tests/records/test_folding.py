from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.records.folding import fold, words_of


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Zoë MÜLLER", "zoe muller"),
        ("Straße", "strasse"),
        ("Łukasz Ørsted", "lukasz orsted"),
        ("Æsa þór", "aesa thor"),
        ("İstanbul IŞIK ışık", "istanbul isik isik"),
        ("e\u0301te\u0301", "ete"),
        ("  two \t lines\n", "two lines"),
        ("ﬁne ½ Ⅳ", "fine 1⁄2 iv"),
        ("Ελένη", "ελενη"),
        ("山田", "山田"),
        ("a\x00b", "a b"),
    ],
)
def test_case_accents_and_blanks_do_not_count(text, folded):
    assert fold(text) == folded


@given(st.text())
def test_folding_again_changes_nothing(text):
    assert fold(fold(text)) == fold(text)


@given(st.text())
def test_capitals_do_not_count(text):
    assert fold(text.casefold()) == fold(text)


def test_a_search_has_each_word_once():
    assert words_of(" Zoë  zoe MÜLLER ") == ("zoe", "muller")
    assert words_of(" \n") == ()
