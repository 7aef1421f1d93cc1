"""The advisor beside what happened to real cakes; see field_reports.py for the rule and its limits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.outside import field_reports
from tests.outside.field_reports import OUTCOMES, Judged, Report, counts, crusting_chance, judge_all, read_reports
from webapp.advice.service import Advisor
from webapp.catalogue.loader import load_catalogue
from webapp.config import Config

# Why the advisor and the report differ. None of them tells of a temperature at which a coat gives way.
KNOWN_DISAGREEMENTS = {
    "F10": "the recipe was too wet: more sugar cured it at the same temperature",
    "F12": "the shortening had changed: ours is high-ratio, and no brief says which one is at hand",
    "F22": "two roses fell off by their weight in a cool hall, on a coat that stood",
}
# Agreements among what was seen, and among advice, when this was last looked through.
SEEN_AGREE, SEEN_EITHER, ADVICE_AGREE = 14, 2, 5


@pytest.fixture(scope="module")
def judged() -> list[Judged]:
    return judge_all(Advisor(load_catalogue(Config().data_dir)))


def test_no_fewer_reports_agree_than_before(judged: list[Judged]) -> None:
    seen, advised = counts(judged, advice=False), counts(judged, advice=True)
    assert seen["agrees"] >= SEEN_AGREE
    assert seen["could be either"] <= SEEN_EITHER
    assert advised["agrees"] >= ADVICE_AGREE
    assert seen.total() + advised.total() == 24


def test_only_the_known_reports_disagree(judged: list[Judged]) -> None:
    found = {each.report.id for each in judged if each.agreement == "disagrees"}
    assert found == set(KNOWN_DISAGREEMENTS)


def test_reports_that_leave_little_open_agree_whatever_was_left_out(judged: list[Judged]) -> None:
    assert {each.report.id for each in judged if each.agrees_throughout} >= {"F19", "F43", "F48", "F68", "F76"}


@pytest.mark.parametrize("report", read_reports(), ids=lambda report: report.id)
def test_a_report_can_be_asked_or_says_why_not(report: Report) -> None:
    assert report.note
    assert report.can_be_asked == bool(report.coats) == bool(report.part)
    if report.can_be_asked:
        assert report.outcome in OUTCOMES
        assert list(report.briefs())
        assert not set(report.ranges) & set(report.brief), "given and left out at once"


def test_reports_are_told_once() -> None:
    ids = [report.id for report in read_reports()]
    assert len(set(ids)) == len(ids) == 37


REPORT = next(report for report in read_reports() if report.id == "F19")


@pytest.mark.parametrize(
    ("outcome", "low", "high", "agreement"),
    [
        ("held", 0.0, 0.5, "agrees"),
        ("held", 0.0, 0.49, "could be either"),
        ("held", 0.0, 0.1, "could be either"),
        ("held", 0.0, 0.09, "disagrees"),
        ("melted", 0.5, 1.0, "agrees"),
        ("melted", 0.51, 1.0, "could be either"),
        ("melted", 0.91, 1.0, "disagrees"),
    ],
)
def test_the_rule_of_agreement(outcome: str, low: float, high: float, agreement: str) -> None:
    assert Judged(replace(REPORT, outcome=outcome), low, high).agreement == agreement


def test_a_crust_is_likelier_the_longer_it_is_given() -> None:
    assert crusting_chance(None, 120) == 0
    assert [crusting_chance((10, 20, 40), minutes) for minutes in (5, 20, 30, 60)] == pytest.approx(
        [0.05, 0.5, 0.725, 0.95]
    )


def test_butter_as_hard_as_shortening_would_be_noticed(judged: list[Judged]) -> None:
    # The guard itself: with another fat under it, what was said of soft butter indoors no longer fits.
    judge = field_reports.Judge(Advisor(load_catalogue(Config().data_dir)))
    hardened = [
        judge.judge(replace(each.report, coats=("american-shortening",))).agreement
        for each in judged
        if each.report.id in ("F29", "F33")
    ]
    assert hardened == ["disagrees"] * 2


def test_the_command_prints_every_row_and_the_counts(
    judged: list[Judged], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(field_reports, "judge_all", lambda _: judged)
    field_reports.main()
    printed = capsys.readouterr().out
    assert all(f"{report.id} " in printed for report in read_reports())
    assert f"seen: {SEEN_AGREE} agrees, {SEEN_EITHER} could be either, {len(KNOWN_DISAGREEMENTS)} disagrees" in printed
