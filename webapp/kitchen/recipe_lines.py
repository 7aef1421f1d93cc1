"""Reads the amount and the name out of an ingredient line as people write it; knows no ingredient.

An amount may be a decimal with point or comma, a fraction (``1 1/2``, ``1½``, ``1-1/2``), a number word, a sum
(``1 cup + 2 tbsp``, ``1 lb 4 oz``) or a range. Of a range the middle is taken, and the line says so; a range whose ends
differ more than threefold is asked for. Where a line gives a mass beside a household measure, the mass counts.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from typing import Literal

from webapp.errors import AdvisorError
from webapp.kitchen.household import MASSES, VOLUMES, grams_in, millilitres_in
from webapp.kitchen.recipe_words import (
    CAPITALS,
    CONTAINERS,
    FLUID_OUNCE,
    LEVELLED,
    NO_WEIGHT,
    NUMBER_WORDS,
    SIZES,
    UNITS,
    is_remark,
    words_of,
)

Kind = Literal["amount", "unclear", "unknown", "ambiguous"]
AMOUNTS = "an amount with its unit, such as 200 g, 1 1/2 cups, 2 tbsp or 4 egg whites"
WIDEST_RANGE = 3.0
_EGG_WORDS = frozenset({"egg", "white", "yolk"})
MOST_OF_ONE_UNIT = 100_000.0

_FRACTION = r"\d{1,3}/\d{1,3}"
_MIXED = rf"\d{{1,3}}(?:\s*-\s*|\s+(?:and\s+|&\s*)?){_FRACTION}"
_NUMBER = rf"(?:{_MIXED}|{_FRACTION}|\d{{1,6}}(?:[.,]\d{{1,4}})?|[.,]\d{{1,4}})"
_AMOUNT = re.compile(rf"({_NUMBER})(?:\s*(?:-|\bto\b|\bor\b)\s*({_NUMBER}))?(?![\d/.,]*\d)\s*-?\s*", re.IGNORECASE)
_WORD = re.compile(r"([A-Za-z]+)\b\.?\s*")
_PLUS = re.compile(r"\s*(?:\+|&|\bplus\b|\band\b)\s*(?=[\d.,])", re.IGNORECASE)
_ALSO = re.compile(r"\s*(?:/|=|\||\bor\b)\s*(?=[\d.,])", re.IGNORECASE)
_ABOUT = re.compile(r"^(?:about|approx(?:imately)?\.?|roughly|around|ca?\.|~|≈)\s*", re.IGNORECASE)
_AT_END = re.compile(
    rf"^(?P<name>[^\d(\[]*[^\d(\[\s:–—-])[\s:–—-]+(?P<number>{_NUMBER})\s*(?P<unit>[A-Za-z. ]{{0,12}})$"
)
_NOT_COUNTED = re.compile(r",?\s*\b(?:plus|and)\s+(?:(?:some|a little)\s+)?(?:more|extra)\b.*$", re.IGNORECASE)
_PURPOSE = re.compile(
    r",?\s*\b(?:for|to)\s+(?:the\s+)?(?:syrup|dusting|meringue|taste|thin|colour|color|whites?|yolks?)\b.*$", re.I
)


class LineProblemError(AdvisorError):
    """A line that cannot be read; says what is wrong, what would do, and which ingredients may be meant."""

    def __init__(self, text: str, problem: str, allowed: str, kind: Kind, options: tuple[str, ...] = ()) -> None:
        self.text, self.problem, self.allowed, self.kind, self.options = text, problem, allowed, kind, options
        super().__init__(f"“{text}”: {problem}; allowed: {allowed}")


@dataclass(frozen=True, slots=True)
class Amount:
    """A number of units; no unit counts pieces."""

    number: float
    unit: str


@dataclass(frozen=True, slots=True)
class ParsedLine:
    """What a line says: amounts to be added up, masses it also gives, the parts of the name, how the cup was filled."""

    text: str
    amounts: tuple[Amount, ...]
    also: tuple[Amount, ...]
    names: tuple[str, ...]
    count_as: str
    size: str
    state: str
    notes: tuple[str, ...]


def is_heading(text: str) -> bool:
    """Tell whether a line is a heading such as ``For the syrup:``, or nothing at all."""
    plain = text.strip()
    return not plain or (plain.endswith(":") and not re.search(r"\d", plain))


def parse_line(text: str) -> ParsedLine:
    """Read one ingredient line.

    Raises
    ------
    LineProblemError
        If the amount cannot be read; it says what would do.
    """
    shown = " ".join(text.split())
    line, count_as = _counted_as(_tidied(text))
    line, brackets = _without_brackets(line)
    line, notes = _without_asides(line)
    line = _reordered(line)
    _refuse_what_cannot_be_meant(shown, line)
    amounts, also, rest, ranged = _amounts(shown, line)
    also, asides = _read_brackets(brackets, also)
    amounts, also, rest = _opened(shown, amounts, also, rest)
    names = tuple(part for part in (*re.split(r",|\s-\s|;", rest), *asides) if part.strip(" .:"))
    return _with_states(ParsedLine(shown, amounts, also, names, count_as, "", "", (*ranged, *notes)))


def _tidied(text: str) -> str:
    """Write fractions, dashes and spaces one way and take off bullets."""
    spaced = "".join(
        f" {unicodedata.normalize('NFKC', c)}" if unicodedata.decomposition(c).startswith("<fraction>") else c
        for c in text
    )
    plain = unicodedata.normalize("NFKC", spaced)
    plain = re.sub(r"[‐‑‒–—−]", "-", plain).replace("⁄", "/").replace("×", "x")
    plain = re.sub(r"^\s*(?:[*•·▢☐◦>]|-(?=\s))+\s*", "", plain)
    plain = _ABOUT.sub("", " ".join(plain.split()))
    plain = re.sub(r"^(?i:juice of)\s+(\S+)\s+(?i:lemons?)\b", r"\1 lemon juice", plain)
    plain = re.sub(
        r"^(?i:(white|yolk)s?\s+(?:of|from))\s+(\S+(?:\s+(?:small|medium|large|jumbo))?)\s+(?i:eggs?)\b",
        r"\2 egg \1",
        plain,
    )
    plain = re.sub(r"\b(?i:eggs?)\s*,\s*(?i:(white|yolk)s?)(?:\s+only)?\b", r"egg \1", plain)
    plain = re.sub(r"\b(?i:extra[ -]large)\b", "xl", plain)
    return _with_digits(plain)


def _with_digits(line: str) -> str:
    """Write number words at the start as digits: ``half a cup``, ``two sticks``, ``a pinch``."""
    words = line.split(" ")
    first = words[0].lower()
    if first in NUMBER_WORDS:
        rest = words[1:]
        if first in ("half", "quarter", "a") and rest and rest[0].lower() in ("a", "an", "half", "quarter", "dozen"):
            first = rest[0].lower() if rest[0].lower() in ("half", "quarter", "dozen") else first
            rest = rest[1:]
        return " ".join([NUMBER_WORDS[first], *rest])
    return f"1 {line}" if first in ("pinch", "dash") else line


def _counted_as(line: str) -> tuple[str, str]:
    found = re.search(r"\[([^\]]*)\]\s*$", line)
    return (line[: found.start()].strip(), found[1].strip()) if found else (line, "")


def _without_brackets(line: str) -> tuple[str, list[str]]:
    found = re.findall(r"\(([^()]*)\)", line)
    return " ".join(re.sub(r"\([^()]*\)", " ", line).replace(" ,", ",").split()), found


def _without_asides(line: str) -> tuple[str, tuple[str, ...]]:
    cut = _NOT_COUNTED.sub("", line)
    notes = ("What is asked for on top of the amount is not counted.",) if cut != line else ()
    return _PURPOSE.sub("", cut), notes


def _reordered(line: str) -> str:
    """Put an amount that stands at the end first: ``butter: 200 g``."""
    found = _AT_END.match(line)
    if found is None or _unit(found["unit"])[1]:
        return line
    return f"{found['number']} {found['unit']} {found['name'].strip()}"


def _refuse_what_cannot_be_meant(text: str, line: str) -> None:
    if re.match(r"-\s?[\d.]", line):
        raise LineProblemError(text, "an amount below nothing", AMOUNTS, "amount")
    if re.match(r"[\d.,]+\s*%", line):
        raise LineProblemError(
            text, "a share is no amount", "grams, cups or spoons in place of the percentage", "amount"
        )
    thousands = re.match(r"([1-9]\d{0,2}),(\d{3})\b", line)
    if thousands:
        whole, rest = thousands[1], thousands[2]
        raise LineProblemError(text, "the comma can be read in two ways", f"{whole}{rest} or {whole}.{rest}", "amount")
    first = (re.match(r"(?:[\d.,/\s-]+\s)?([A-Za-z]+)", line) or ["", ""])[1].lower()
    if first in NO_WEIGHT:
        problem = f"“{first}” has no weight of its own"
        raise LineProblemError(text, problem, "grams, or tsp, tbsp or cups", "amount")


def _amounts(text: str, line: str) -> tuple[tuple[Amount, ...], tuple[Amount, ...], str, tuple[str, ...]]:
    """Read the amounts at the start: those to add up, those that say the same again, the rest, and notes."""
    notes: list[str] = []
    added, also, rest = [], [], line
    amount, rest = _one_amount(text, rest, notes)
    added.append(amount)
    while True:
        plus, again = _PLUS.match(rest), _ALSO.match(rest)
        if again:
            amount, rest = _one_amount(text, rest[again.end() :], notes)
            also.append(amount)
        elif plus or re.match(r"\d", rest):
            if re.match(r"\d+(?:\.\d+)?(?:%|x\b)", rest):  # of the name: 2% milk, 10x sugar
                break
            amount, rest = _one_amount(text, rest[plus.end() if plus else 0 :], notes)
            added.append(amount)
        else:
            break
    return tuple(added), tuple(also), re.sub(r"^(?i:of)\s+", "", rest.strip()), tuple(notes)


def _one_amount(text: str, line: str, notes: list[str]) -> tuple[Amount, str]:
    found = _AMOUNT.match(line)
    if found is None:
        is_bad = re.match(r"[\d.,/]", line)
        problem = "the amount cannot be read" if is_bad else "there is no amount"
        raise LineProblemError(text, problem, AMOUNTS, "amount")
    number = _number(text, found[1])
    unit, rest = _unit(line[found.end() :])
    if found[2]:
        number = _middle(text, number, _number(text, found[2]), notes)
    if not 0 < number <= MOST_OF_ONE_UNIT:
        raise LineProblemError(text, "that is no amount of an icing", AMOUNTS, "amount")
    return Amount(number, unit), rest


def _number(text: str, written: str) -> float:
    parts = [part for part in re.split(r"\s*-\s*|\s+|and|&", written.strip()) if part]
    total = 0.0
    for part in parts:
        above, slash, below = part.partition("/")
        if slash and int(below) == 0:
            raise LineProblemError(text, "nothing can be divided by 0", AMOUNTS, "amount")
        total += int(above) / int(below) if slash else float(part.replace(",", "."))
    return total


def _middle(text: str, low: float, high: float, notes: list[str]) -> float:
    if not 0 < low < high or high > WIDEST_RANGE * low:
        problem = f"{low:.4g} to {high:.4g} is no range to take the middle of"
        raise LineProblemError(text, problem, "one amount, the one that you use", "amount")
    notes.append(f"Of the range {low:.4g} to {high:.4g} the middle was taken.")
    return (low + high) / 2


def _unit(rest: str) -> tuple[str, str]:
    fluid = FLUID_OUNCE.match(rest)
    if fluid:
        return "fl oz", rest[fluid.end() :].lstrip()
    word = _WORD.match(rest)
    if word is None:
        return "", rest
    written = word[1]
    if written.lower() in LEVELLED | {"level"}:  # a heaped cup is counted as a level one
        return _unit(rest[word.end() :])
    unit = CAPITALS.get(written) or UNITS.get(written.lower())
    return (unit, rest[word.end() :]) if unit else ("", rest)


def _read_brackets(brackets: list[str], also: tuple[Amount, ...]) -> tuple[tuple[Amount, ...], tuple[str, ...]]:
    """Sort what stands in brackets into amounts and asides; nothing else may stand there."""
    amounts, asides = list(also), []
    for inside in brackets:
        plain = _ABOUT.sub("", re.sub(r"^(?i:from|or|each|=)\s+", "", inside.strip()))
        try:
            more, again, rest, _ = _amounts(inside, _ABOUT.sub("", plain))
        except LineProblemError:
            more, again, rest = (), (), inside
        amounts += [*more, *again] if len(more) == 1 else again
        if not all(is_remark(w) or w in CONTAINERS or w in SIZES or w in _EGG_WORDS for w in words_of(rest)):
            asides.append(rest)
    return tuple(amounts), tuple(asides)


def _opened(
    text: str, amounts: tuple[Amount, ...], also: tuple[Amount, ...], rest: str
) -> tuple[tuple[Amount, ...], tuple[Amount, ...], str]:
    """Turn ``1 (16 oz) box`` and ``2 8-oz blocks`` into masses; hold sums to units that can be added."""
    word = _WORD.match(rest)
    if word and word[1].lower() in CONTAINERS and amounts[0].unit == "":
        inside = [each for each in (*amounts[1:], *also) if each.unit in (*MASSES, *VOLUMES)]
        if not inside:
            problem = f"how much a {word[1].lower()} holds is not said"
            raise LineProblemError(text, problem, f"its weight too, such as 1 (16 oz) {word[1].lower()}", "amount")
        opened = Amount(amounts[0].number * inside[0].number, inside[0].unit)
        return (opened,), (), re.sub(r"^(?i:of)\s+", "", rest[word.end() :])
    sizes = [_size(amount) for amount in amounts]
    if any(first <= second for first, second in zip(sizes, sizes[1:], strict=False)):
        raise LineProblemError(text, "the amounts cannot be added up", "one amount, or the larger unit first", "amount")
    return amounts, also, rest


def _size(amount: Amount) -> float:
    """Rank units by size, masses and volumes alike; pieces go with nothing."""
    if amount.unit in MASSES:
        return grams_in(amount.unit)
    if amount.unit in VOLUMES:
        return millilitres_in(amount.unit)
    return {"stick": 113.0, "pinch": 0.3, "dash": 0.6}.get(amount.unit, 0.0)


def _with_states(line: ParsedLine) -> ParsedLine:
    """Note the size of eggs and how a cup was filled: ``sifted`` before the name means before measuring."""
    before = line.names[0].lower() if line.names else ""
    state = "sifted" if re.search(r"\bsifted\b", before) else ""
    if re.search(r"\b(?:unpacked|loosely packed)\b", " ".join(line.names).lower()):
        state = "unpacked"
    sizes = [SIZES[word] for word in re.findall(r"[a-z-]+", " ".join(line.names).lower()) if word in SIZES]
    levelled = any(re.search(rf"\b{word}\b", line.text.lower()) for word in LEVELLED)
    notes = (*line.notes, "Counted as a level measure.") if levelled else line.notes
    return replace(line, size=sizes[0] if sizes else "", state=state, notes=notes)
