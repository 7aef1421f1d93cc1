from __future__ import annotations

import string
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.decision.builders import (
    AQUAFABA,
    BUTTER,
    COOKIES,
    NUT_PASTE,
    PLANT_BLOCK,
    RULES,
    SHORTENING,
    SUGAR,
    WHITE,
    YOLK,
    candidate,
    formulation,
    situation,
    trade_candidates,
)
from webapp.catalogue.model import Formulation
from webapp.decision.limits import LIMITS, explain_empty, least_firmness, screen

DIETS = tuple(limit.id for limit in LIMITS[:8])
PLAIN = formulation("american-plain", SUGAR, SHORTENING)


def left(formula: Formulation, **brief: object) -> tuple[int, int]:
    screening = screen([candidate(formula)], situation(**brief), RULES)
    return len(screening.coats), len(screening.fillings)


@pytest.mark.parametrize(
    ("diet", "offender", "neighbour"),
    [
        ("egg-free", WHITE, AQUAFABA),
        ("egg-free", YOLK, BUTTER),
        ("dairy-free", BUTTER, WHITE),
        ("vegan", BUTTER, PLANT_BLOCK),
        ("vegan", WHITE, AQUAFABA),
        ("soy-free", SHORTENING, BUTTER),
        ("coconut-free", PLANT_BLOCK, SHORTENING),
        ("tree-nut-free", NUT_PASTE, PLANT_BLOCK),
        ("gluten-free", COOKIES, NUT_PASTE),
    ],
)
def test_a_diet_bars_what_has_its_ingredient_and_lets_its_neighbour_in(diet, offender, neighbour):
    asked = {"diet": frozenset({diet})}
    assert left(formulation("swiss-bad", SUGAR, offender), **asked) == (0, 0)
    assert left(formulation("swiss-bad", SUGAR, offender)) == (1, 1)
    assert left(formulation("swiss-good", SUGAR, neighbour), **asked) == (1, 1)


@pytest.mark.parametrize(
    ("treatment", "expected"),
    [("syrup-cooked", (0, 0)), ("heated-71c", (1, 1)), ("pasteurised", (1, 1)), ("none", (1, 1))],
)
def test_only_egg_cooked_by_syrup_alone_counts_as_undercooked(treatment, expected):
    meringue = formulation("italian-x", SUGAR, WHITE, BUTTER, treatment=treatment)
    assert left(meringue, diet=frozenset({"no-undercooked-egg"})) == expected


def test_a_syrup_cooked_foam_without_egg_is_not_undercooked_egg():
    foam = formulation("italian-x", SUGAR, AQUAFABA, treatment="syrup-cooked")
    assert left(foam, diet=frozenset({"no-undercooked-egg"})) == (1, 1)


def test_an_exclusion_names_the_formulation_and_every_offending_ingredient():
    meringue = formulation("swiss-butter", SUGAR, WHITE, BUTTER)
    screening = screen([candidate(meringue)], situation(diet=frozenset({"vegan"})), RULES)
    assert [(e.role, e.limit) for e in screening.exclusions] == [("coat", "vegan"), ("filling", "vegan")]
    assert screening.exclusions[0].formulation.name == "Swiss butter"
    assert "egg white and unsalted butter" in screening.exclusions[0].because


def test_every_broken_limit_is_kept_not_only_the_first():
    meringue = formulation("swiss-butter", SUGAR, WHITE, BUTTER, equipment="stand-mixer")
    brief = situation(diet=frozenset({"egg-free", "dairy-free"}), equipment=frozenset())
    exclusions = screen([candidate(meringue)], brief, RULES).exclusions
    assert {e.limit for e in exclusions} == {"egg-free", "dairy-free", "equipment"}


def test_what_is_heated_only_by_syrup_is_never_called_safe_or_unsafe():
    meringue = formulation("italian-x", SUGAR, WHITE, treatment="syrup-cooked")
    brief = situation(diet=frozenset({"no-undercooked-egg"}))
    because = screen([candidate(meringue)], brief, RULES).exclusions[0].because
    assert "safe" not in because.lower()
    assert "160 °F (71 °C)" in because


def test_a_missing_tool_bars_what_needs_it():
    meringue = formulation("swiss-x", SUGAR, equipment="stand-mixer thermometer")
    assert left(meringue, equipment=frozenset({"stand-mixer", "thermometer"})) == (1, 1)
    assert left(meringue, equipment=frozenset({"stand-mixer"})) == (0, 0)
    assert left(PLAIN, equipment=frozenset()) == (1, 1)


def test_a_soft_filling_is_barred_under_an_unsupported_tier_but_not_as_the_coat():
    brief = situation(tier_count=2, load_kpa=0.5, is_supported=False)
    assert least_firmness(brief) == pytest.approx(3.0)
    for firmness, expected in ((3.0, 1), (2.99, 0)):
        screening = screen([candidate("french-x", firmness=firmness)], brief, RULES)
        assert (len(screening.coats), len(screening.fillings)) == (1, expected)


def test_boards_and_dowels_lift_the_limit_on_soft_fillings():
    brief = situation(tier_count=2, load_kpa=0.5, is_supported=True)
    assert screen([candidate("french-x", firmness=0.5)], brief, RULES).exclusions == ()


def test_a_coat_too_soft_for_fine_piping_may_still_be_the_filling():
    for detail, coats in ((5.0, 1), (4.9, 0)):
        screening = screen([candidate("french-x", piping_detail=detail)], situation(piping="fine"), RULES)
        assert (len(screening.coats), len(screening.fillings)) == (coats, 1)
    assert screen([candidate("french-x", piping_detail=1)], situation(piping="rosettes"), RULES).coats


def test_every_limit_has_its_sentence_with_a_gap_to_fill():
    for limit in LIMITS:
        rule = RULES[limit.id]
        gaps = {gap for _, gap, _, _ in string.Formatter().parse(rule.sentence) if gap}
        assert (rule.kind, gaps) == ("limit", {"what"})


@given(st.frozensets(st.sampled_from(DIETS)), st.sampled_from(DIETS), st.booleans())
def test_one_more_diet_entry_never_adds_an_alternative(diet, more, has_tools):
    tools = frozenset({"stand-mixer", "thermometer"}) if has_tools else frozenset()
    less = screen(trade_candidates(), situation(diet=diet, equipment=tools), RULES)
    stricter = screen(trade_candidates(), situation(diet=diet | {more}, equipment=tools), RULES)
    assert {c.id for c in stricter.coats} <= {c.id for c in less.coats}
    assert {c.id for c in stricter.fillings} <= {c.id for c in less.fillings}


def test_the_smallest_set_that_empties_and_every_smallest_way_out_are_found():
    only_dairy = candidate(formulation("american-a", SUGAR, BUTTER))
    only_soy = candidate(formulation("american-b", SUGAR, SHORTENING))
    brief = situation(diet=frozenset({"dairy-free", "soy-free", "gluten-free"}))
    empty = explain_empty([only_dairy, only_soy], brief, RULES)
    assert (empty.role, empty.limits) == ("both", ("dairy-free", "soy-free"))
    assert [(r.limits, [f.id for f in r.coats]) for r in empty.relaxations] == [
        (("dairy-free",), ["american-a"]),
        (("soy-free",), ["american-b"]),
    ]


def test_when_only_fillings_are_gone_the_supports_are_the_way_out():
    brief = situation(tier_count=2, load_kpa=1.0, is_supported=False)
    empty = explain_empty([candidate("french-x", firmness=2)], brief, RULES)
    assert (empty.role, empty.limits) == ("filling", ("supported",))
    assert [r.limits for r in empty.relaxations] == [("supported",)]


def test_a_way_out_may_need_two_entries_at_once():
    both = candidate(formulation("swiss-a", SUGAR, BUTTER, WHITE, equipment="stand-mixer"))
    brief = situation(diet=frozenset({"egg-free"}), equipment=frozenset())
    empty = explain_empty([both], brief, RULES)
    assert empty.limits in {("egg-free",), ("equipment",)}
    assert [r.limits for r in empty.relaxations] == [("egg-free", "equipment")]


@given(st.frozensets(st.sampled_from(DIETS), min_size=1), st.sampled_from(("none", "fine")), st.booleans())
def test_each_way_out_works_when_taken_and_no_smaller_one_does(diet, piping, has_tools):
    tools = frozenset({"stand-mixer", "thermometer"}) if has_tools else frozenset()
    brief = situation(diet=diet, equipment=tools, piping=piping)
    if not screen(trade_candidates(), brief, RULES).is_empty:
        return
    empty = explain_empty(trade_candidates(), brief, RULES)
    assert empty.relaxations
    for way in empty.relaxations:
        assert not screen(trade_candidates(), _given_up(brief, way.limits), RULES).is_empty
        for kept in way.limits:
            rest = tuple(limit for limit in way.limits if limit != kept)
            assert screen(trade_candidates(), _given_up(brief, rest), RULES).is_empty


def _given_up(brief, limits):
    tools = {"stand-mixer", "thermometer"} if "equipment" in limits else brief.equipment
    piping = "none" if "piping" in limits else brief.piping
    return replace(brief, diet=brief.diet - set(limits), equipment=frozenset(tools), piping=piping)


def test_nothing_is_explained_when_something_is_left():
    with pytest.raises(ValueError, match="some pairing is left"):
        explain_empty([candidate(PLAIN)], situation(), RULES)


def test_a_way_out_that_frees_one_role_says_what_fits_each():
    # A bears no load and has no egg, B has egg: without supports only B could go between. Seen to fail: roles
    # taken for each other.
    soft = candidate(formulation("american-a", SUGAR, SHORTENING), firmness=0.5)
    egg = candidate(formulation("swiss-b", SUGAR, WHITE, SHORTENING, treatment="heated-71c"), firmness=9)
    brief = situation(is_supported=False, load_kpa=0.5, tier_count=2, diet=frozenset({"egg-free"}))
    ways = {
        way.limits: ([f.id for f in way.coats], [f.id for f in way.fillings])
        for way in explain_empty([soft, egg], brief, RULES).relaxations
    }
    assert ways == {
        ("egg-free",): (["american-a", "swiss-b"], ["swiss-b"]),
        ("supported",): (["american-a"], ["american-a"]),
    }
