"""What may stand in a name or a remark."""

from __future__ import annotations

import unicodedata

from webapp.errors import FieldProblem
from webapp.records.errors import RecordRefused

LONGEST_NAME = 200
LONGEST_REMARK = 4000


def clean_name(field: str, text: str, longest: int = LONGEST_NAME) -> str:
    """Return a text of one line without blanks around it.

    Raises
    ------
    RecordRefused
        If nothing that can be seen is left, if it is too long or if it holds characters that cannot be seen.
    """
    clean = _clean(field, " ".join(text.split()), longest)
    if all(unicodedata.category(char)[0] in "CZ" for char in clean):  # a name that nobody sees cannot be pressed
        raise RecordRefused(FieldProblem(field, "is empty", f"1 to {longest} characters"))
    return clean


def clean_remark(field: str, text: str, longest: int = LONGEST_REMARK) -> str:
    """Return a text of any number of lines, possibly none; raises as :func:`clean_name` does."""
    lines = [_clean(field, line.rstrip(), longest) for line in text.strip().splitlines()]
    return _clean(field, "\n".join(lines), longest, breaks="\n")


def _clean(field: str, text: str, longest: int, breaks: str = "") -> str:
    if len(text) > longest:
        raise RecordRefused(FieldProblem(field, f"has {len(text)} characters", f"at most {longest} characters"))
    # Control characters and lone surrogates; neither PostgreSQL nor UTF-8 takes all of them.
    if any(unicodedata.category(char) in ("Cc", "Cs") and char not in breaks for char in text):
        raise RecordRefused(FieldProblem(field, "holds characters that cannot be seen", "a plain text"))
    return text
