"""Names as they are searched: without case, accents or doubled spaces."""

from __future__ import annotations

import unicodedata

# Letters of the Latin script that have no decomposition, as they are typed without them. No name holds a NUL.
_PLAIN = str.maketrans(
    {"\x00": " ", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ħ": "h"}
)


def fold(text: str) -> str:
    """Return a text in the form in which it is compared; folding twice changes nothing more."""
    while (folded := _fold_once(text)) != text:
        text = folded
    return folded


def _fold_once(text: str) -> str:
    spread = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(char for char in spread if not unicodedata.combining(char))
    return " ".join(bare.translate(_PLAIN).split())


def words_of(query: str) -> tuple[str, ...]:
    """Return the folded words of a search, each once."""
    return tuple(dict.fromkeys(fold(query).split()))
