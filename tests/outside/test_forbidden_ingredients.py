"""No guest is offered what they must not eat: read from the ingredient lists as they are, not by the program's rules.

Seen to fail: with the limit for soy taken out of the limits, and with `_offends` blind to soy.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from itertools import combinations

import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.candidates import situation_of
from webapp.advice.service import Advisor
from webapp.advice.substitutes import find_substitutes
from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import Formulation
from webapp.config import Config
from webapp.decision.limits import screen

DATA = Config().data_dir
ROWS = {row["id"]: row for row in csv.DictReader((DATA / "ingredients.csv").read_text(encoding="utf-8").splitlines())}
DIETS = (
    "egg-free",
    "dairy-free",
    "vegan",
    "soy-free",
    "coconut-free",
    "tree-nut-free",
    "gluten-free",
    "no-undercooked-egg",
)
WISHES = (*DIETS, "bone-char-free")
NAMES = {
    "egg-free": "egg",
    "dairy-free": "milk",
    "soy-free": "soy",
    "coconut-free": "coconut",
    "tree-nut-free": "tree-nut",
    "gluten-free": "gluten",
}


def with_bad(column: str, word: str) -> set[str]:
    return {id_ for id_, row in ROWS.items() if word in row[column].split(" ")}


FORBIDDEN = {diet: with_bad("allergens", word) for diet, word in NAMES.items()} | {
    "vegan": with_bad("origin", "animal"),
    "bone-char-free": with_bad("may_hold", "bone-char"),
    "no-undercooked-egg": set(),
}


def bad_in(formulation: Formulation, wishes: Iterable[str]) -> set[str]:
    held = {line.ingredient.id for line in formulation.lines}
    bad = set().union(*(held & FORBIDDEN[wish] for wish in wishes))
    if "no-undercooked-egg" in wishes and formulation.egg_treatment == "syrup-cooked":
        bad |= held & {"egg-white", "egg-yolk"}
    return bad


def few_or_nearly_all(wishes: tuple[str, ...]) -> list[tuple[str, ...]]:
    """Every set of up to two wishes, and every one that leaves out at most one."""
    sizes = (0, 1, 2, len(wishes) - 1, len(wishes))
    return [chosen for size in sizes for chosen in combinations(wishes, size)]


@pytest.fixture(scope="module")
def advisor() -> Advisor:
    return Advisor(load_catalogue(DATA))


def test_the_lists_forbid_something_to_everyone_but_nut_and_gluten_guests() -> None:
    assert {wish for wish, bad in FORBIDDEN.items() if not bad} == {
        "tree-nut-free",
        "gluten-free",
        "no-undercooked-egg",
    }


def test_no_substitute_holds_what_must_be_avoided(advisor: Advisor) -> None:
    offered = 0
    for wishes in few_or_nearly_all(WISHES):
        for formulation in advisor.catalogue.formulations.values():
            found = find_substitutes(advisor, formulation, wishes)  # type: ignore[arg-type]
            assert found.is_free == (not bad_in(formulation, wishes))
            for way in (*found.ways, *(near.way for near in found.nearby)):
                offered += 1
                assert not bad_in(way.formulation, wishes), (way.formulation.id, wishes)
            # Nobody is sent away: something is free as it is, can be swapped, or stands near.
            assert found.is_free or found.ways or found.nearby, (formulation.id, wishes)
    assert offered > 1000


def test_no_advised_coat_or_filling_holds_what_must_be_avoided(advisor: Advisor) -> None:
    advised = 0
    for wishes in few_or_nearly_all(DIETS):
        answer = advisor.advise(asked(diet=list(wishes)), TODAY).answer
        if answer is None:
            continue
        advised += 1
        pairing = answer.pairing
        for part in (pairing.coat.formulation, pairing.filling.formulation):
            assert not bad_in(part, wishes), (part.id, wishes)
    assert advised > 20


def test_nothing_that_stays_in_the_race_holds_what_must_be_avoided(advisor: Advisor) -> None:
    """All 256 sets of diets, for every formulation in both roles."""
    every = advisor.judge(asked(), TODAY)[2].screening
    assert len(every.coats) == len(every.fillings) == len(advisor.catalogue.formulations)
    for size in range(len(DIETS) + 1):
        for wishes in combinations(DIETS, size):
            situation = situation_of(asked(diet=list(wishes)), advisor.catalogue)
            left = screen(every.coats, situation, advisor.catalogue.rules)
            kept = {candidate.id for candidate in (*left.coats, *left.fillings)}
            free = {each.id for each in advisor.catalogue.formulations.values() if not bad_in(each, wishes)}
            assert kept == free, wishes
