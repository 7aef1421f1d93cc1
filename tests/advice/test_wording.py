from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any, get_args

import pytest

from tests.advice.asking import THREE_TIERS
from webapp.advice.brief import CriterionId
from webapp.advice.contract import Advice
from webapp.advice.service import Record
from webapp.advice.wording import BEST_PAIRINGS, write_advice
from webapp.catalogue.model import Catalogue
from webapp.units import METRIC, US

GARDEN = {"setting": "shade", "air_high_c": 31.0, "hold_hours": 3.0, "tiers": THREE_TIERS}
RED_NOON = {"setting": "sun", "air_high_c": 37.0, "hold_hours": 5.0, "start": "12:00", "colour": "deep"}
NOTHING = {"diet": ["dairy-free", "soy-free"]}


def sentences(advice: Advice) -> Iterator[str]:
    """Every sentence of our own that a reader meets."""
    yield advice.headline
    for part in (advice.pairing and advice.pairing.summary, advice.hold and advice.hold.sentence):
        if part:
            yield part
    if advice.parts is not None:
        parts = (advice.parts.coat, advice.parts.detail, advice.parts.filling, advice.parts.stack)
        yield from (part.sentence for part in parts if part is not None)
    yield from (reason.text for reason in advice.reasons)
    yield from (caution.text for caution in advice.cautions)
    yield from (lever.effect for lever in advice.levers)
    yield from (out.text for out in advice.assumed)
    yield from (out.because for out in advice.excluded)
    if advice.stress is not None:
        yield advice.stress.sentence
    if advice.taste is not None:
        yield advice.taste.takes


@pytest.mark.parametrize("fields", [{}, GARDEN, RED_NOON, NOTHING], ids=["party", "garden", "red noon", "nothing"])
def test_every_sentence_is_whole(record: Callable[..., Record], fields: dict[str, Any]) -> None:
    given = record(**fields)
    for measures in (METRIC, US):
        for text in sentences(write_advice(given, measures)):
            assert re.match(r"[A-Z0-9“]", text), text
            assert text.rstrip()[-1] in ".!?”", text
            assert not re.search(r"\bnan\b|\bNone\b|  |\{|\}|inf\b", text), text


def test_one_scale_is_used_throughout(record: Callable[..., Record]) -> None:
    given = record(**GARDEN)
    metric, us = (write_advice(given, measures) for measures in (METRIC, US))
    rules = {caution.text for caution in metric.cautions}
    assert not [text for text in sentences(metric) if "°F" in text and text not in rules]
    assert not [text for text in sentences(us) if "°C" in text and text not in rules]


def test_both_measures_carry_the_same_numbers(record: Callable[..., Record]) -> None:
    given = record(**GARDEN)
    metric, us = (write_advice(given, measures) for measures in (METRIC, US))
    assert metric.hold == us.hold
    assert metric.course == us.course
    assert [coat.score for coat in metric.coats] == [coat.score for coat in us.coats]


def test_the_headline_gives_the_verdict_first(advice: Callable[..., Advice]) -> None:
    assert advice().headline.startswith("Likely to hold")
    assert advice(**RED_NOON | {"piping": "none"}).headline.startswith("Even the best coat is likely")
    assert advice(**NOTHING).headline.startswith("Something in this brief has to give")


def test_where_the_piping_goes_before_the_coat_the_headline_is_of_the_piping(advice: Callable[..., Advice]) -> None:
    # Seen to fail: "even the best coat is likely to hold 15 min" beside a coat that keeps its shape 27 min.
    piped = advice(**RED_NOON)
    assert piped.parts is not None and piped.parts.detail is not None
    assert piped.parts.detail.likely_h < piped.parts.coat.likely_h
    assert piped.headline.startswith("Even on the best coat the piping is likely")


def test_the_summary_names_both_halves_or_one_recipe(advice: Callable[..., Advice]) -> None:
    two, one = advice(**GARDEN).pairing, advice(piping="none").pairing
    assert two is not None and one is not None
    assert "outside" in two.summary and "between the layers" in two.summary
    assert one.coat == one.filling
    assert "one recipe does it all" in one.summary


def test_a_coat_that_does_not_hold_is_not_said_to(advice: Callable[..., Advice]) -> None:
    failing = advice(**RED_NOON)
    assert failing.pairing is not None
    assert "does not hold, but lasts longest" in failing.pairing.summary
    assert "keeps its look in" not in failing.pairing.summary


def test_the_deadline_is_on_the_client_s_clock_and_before_the_likely_end(advice: Callable[..., Advice]) -> None:
    failing = advice(**RED_NOON)
    assert failing.hold is not None and failing.cut_by is not None
    hours, minutes = map(int, failing.cut_by.split(":"))
    assert 0 <= hours + minutes / 60 - 12 <= failing.hold.likely_h
    assert advice().cut_by is None


def test_every_criterion_has_one_reason_heat_first_outdoors_and_what_is_given_up_last(
    advice: Callable[..., Advice],
) -> None:
    reasons = advice(**GARDEN).reasons
    assert sorted(reason.criterion for reason in reasons) == sorted(get_args(CriterionId))
    assert [reason.criterion for reason in reasons[:2]] == ["heat", "hold_time"]
    assert [reason.speaks for reason in reasons] == sorted((r.speaks for r in reasons), reverse=True)
    for side in ("for", "against"):
        weights = [r.weight for r in reasons if r.speaks == side and r.criterion not in ("heat", "hold_time")]
        assert weights == sorted(weights, reverse=True)
    weights = [reason.weight for reason in reasons]
    assert sum(weights) == pytest.approx(1, abs=1e-6)


def test_every_reason_shows_the_facts_it_read_within_their_ranges(advice: Callable[..., Advice]) -> None:
    for reason in advice(**GARDEN).reasons:
        assert reason.facts
        for fact in reason.facts:
            assert fact.low <= fact.value <= fact.high, fact
            assert fact.basis and fact.source


def test_every_source_used_is_cited(advice: Callable[..., Advice]) -> None:
    given = advice(**GARDEN, diet=["egg-free"])
    used = {caution.source for caution in given.cautions} | {out.source for out in given.excluded}
    used |= {fact.source for reason in given.reasons for fact in reason.facts}
    assert used <= set(given.sources)
    assert all(given.sources.values())


def test_coats_and_fillings_are_all_that_was_not_excluded(advice: Callable[..., Advice], catalogue: Catalogue) -> None:
    given = advice(**GARDEN, diet=["no-undercooked-egg"])
    for role, ranked in (("coat", given.coats), ("filling", given.fillings)):
        out = {e.formulation for e in given.excluded if e.role == role}
        left = {r.formulation for r in ranked}
        assert not out & left
        assert out | left == set(catalogue.formulations)


def test_only_coats_have_a_hold(advice: Callable[..., Advice]) -> None:
    given = advice()
    assert all(coat.hold is not None and coat.holds is not None for coat in given.coats)
    assert all(filling.hold is None and filling.holds is None for filling in given.fillings)


def test_the_best_ten_pairings_start_with_the_advice_and_show_the_ties(advice: Callable[..., Advice]) -> None:
    given = advice(**GARDEN)
    assert given.pairing is not None
    assert len(given.pairings) == BEST_PAIRINGS
    assert (given.pairings[0].coat, given.pairings[0].filling) == (given.pairing.coat, given.pairing.filling)
    assert given.pairings[0].tied_with_first


def test_parts_are_told_only_where_they_are(advice: Callable[..., Advice]) -> None:
    stacked, plain = advice(**GARDEN).parts, advice(piping="none").parts
    assert stacked is not None and plain is not None
    assert stacked.stack is not None and stacked.detail is not None
    assert plain.stack is None and plain.detail is None
    assert stacked.detail.likely_h <= stacked.coat.likely_h


def test_an_excluded_formulation_says_what_is_in_it(advice: Callable[..., Advice]) -> None:
    (because,) = {out.because for out in advice(diet=["egg-free"]).excluded if out.formulation == "swiss-butter"}
    assert "egg white" in because.lower()


def test_nothing_fits_names_the_limits_and_the_ways_out(advice: Callable[..., Advice]) -> None:
    given = advice(**NOTHING)
    assert given.nothing_fits is not None
    assert given.nothing_fits.text == "Together, “dairy-free” and “soy-free” leave no coat and no filling."
    assert [way.limits for way in given.nothing_fits.relaxations] == [["dairy-free"], ["soy-free"]]
    assert all(way.then for way in given.nothing_fits.relaxations)
    assert (given.pairing, given.hold, given.parts, given.course, given.taste) == (None,) * 5
    assert given.coats == given.fillings == given.levers == []


def test_taste_alone_is_shown_beside_the_advice_with_what_it_takes(advice: Callable[..., Advice]) -> None:
    garden = advice(**GARDEN).taste
    assert garden is not None
    assert not garden.is_the_advice
    assert garden.coat.family in ("swiss", "italian")
    assert re.search(r"no warmer than \d+ to \d+ °C", garden.takes)


def test_taste_that_is_the_advice_is_said_to_be(advice: Callable[..., Advice]) -> None:
    hall = advice(piping="none", sweetness=2).taste
    assert hall is not None
    assert hall.is_the_advice


def test_the_brief_comes_back_with_the_advice(advice: Callable[..., Advice]) -> None:
    assert advice(**RED_NOON).brief.model_dump(include=set(RED_NOON), mode="json") == {
        **RED_NOON,
        "start": "12:00:00",
    }
