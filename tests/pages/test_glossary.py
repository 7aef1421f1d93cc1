from __future__ import annotations

import re

import pytest

from tests.pages.page import PageClient
from webapp.decision.model import HOLDS_FROM, MARGINAL_FROM
from webapp.pages.formatters import VERDICTS
from webapp.pages.glossary import GROUPS, WORDS

ASKED_FOR = {
    *("coat", "filling", "dam", "crumb-coat", "crust", "hold", "softens", "slumps", "high-ratio-shortening"),
    *(
        "ordinary-shortening",
        "plant-block",
        "aquafaba",
        "meringue",
        "soft-ball",
        "dew-point",
        "dowel",
        "board",
    ),
}


def test_the_words_that_the_pages_use_are_there() -> None:
    assert set(WORDS) >= ASKED_FOR


def test_every_verdict_is_explained() -> None:
    # Seen to fail: "May not hold" alone.
    assert set(VERDICTS.values()) <= {word.term for word in WORDS.values()}
    assert (HOLDS_FROM, MARGINAL_FROM) == (0.9, 0.5)  # the nine chances in ten and the even one that are told


def test_no_word_is_explained_twice() -> None:
    assert len(WORDS) == sum(len(group.words) for group in GROUPS)
    assert not set(WORDS) & {group.id for group in GROUPS}


@pytest.mark.parametrize("word", WORDS.values(), ids=lambda word: word.id)
def test_a_word_is_explained_in_short_sentences(word) -> None:
    sentences = re.split(r"(?<=[.:]) ", word.meaning)
    assert word.meaning[-1] in ".…"
    assert all(len(sentence.split()) <= 20 for sentence in sentences)


def test_every_word_has_its_anchor_and_every_page_leads_there(client: PageClient) -> None:
    page = client.get("/words")
    for word in WORDS.values():
        assert word.meaning in page.text(page.by_id(word.id)).replace("\xa0", " ")
    for address in ("/", "/families", "/sources", "/advice"):
        assert "/words" in {link.get("href") for link in client.get(address).all("a")}
