from __future__ import annotations

import datetime as dt

import pytest

from tests.records.samples import PASSWORD, content
from webapp.records.drafts import LONGEST_DRAFT
from webapp.records.errors import NoSuchRecord, RecordRefused
from webapp.records.opening import open_records


@pytest.fixture
def ann(records):
    return records.accounts.add("Ann", PASSWORD, "staff").id


def test_a_half_filled_form_survives_as_it_was_typed(records, tmp_path, database_url):
    typed = {"air_high_c": "thirty", "tiers": ["", "20"], "note": "<b>"}
    records.drafts.keep("tab-1", typed)
    again = open_records(tmp_path / "kept", database_url)
    assert again.drafts.get("tab-1").fields == typed
    again.close()


def test_a_draft_is_kept_in_the_place_of_what_it_was(records, clock):
    records.drafts.keep("tab-1", {"a": "1"})
    clock.go(minutes=1)
    records.drafts.keep("tab-1", {"b": "2"})
    (kept,) = records.drafts.of_account()
    assert (kept.fields, kept.updated_at) == ({"b": "2"}, clock.moment)


def test_an_account_sees_its_own_drafts_the_latest_first(records, clock, ann):
    for id in ("first", "second"):
        records.drafts.keep(id, {}, ann)
        clock.go(minutes=1)
    records.drafts.keep("nobody's", {})
    assert [kept.id for kept in records.drafts.of_account(ann)] == ["second", "first"]
    assert [kept.id for kept in records.drafts.of_account()] == ["nobody's"]


def test_no_account_reads_overwrites_or_drops_anothers_draft(records, ann):
    bo = records.accounts.add("Bo", PASSWORD, "staff").id
    records.drafts.keep("hers", {"a": "1"}, ann)
    for attempt in (
        lambda: records.drafts.get("hers", bo),
        lambda: records.drafts.get("hers"),
        lambda: records.drafts.keep("hers", {}, bo),
    ):
        with pytest.raises(NoSuchRecord):
            attempt()
    records.drafts.drop("hers", bo)
    assert records.drafts.get("hers", ann).fields == {"a": "1"}


def test_a_draft_is_dropped_once_it_is_saved(records):
    records.drafts.keep("tab-1", {})
    records.drafts.drop("tab-1")
    records.drafts.drop("tab-1")
    assert records.drafts.of_account() == []


def test_a_draft_goes_with_its_account(records, ann):
    records.accounts.add("Olga", PASSWORD, "owner")
    records.drafts.keep("hers", {}, ann)
    records.accounts.remove(ann)
    assert records.drafts.of_account(ann) == []


def test_old_drafts_are_purged(records, clock):
    records.drafts.keep("old", {})
    clock.go(days=31)
    records.drafts.keep("new", {})
    clock.go(hours=1)
    assert records.drafts.purge(clock.moment - dt.timedelta(days=30)) == 1
    assert [kept.id for kept in records.drafts.of_account()] == ["new"]


@pytest.mark.parametrize("id", ["", "x" * 65, "a\nb", "ä"])
def test_an_id_that_is_none_is_refused(records, id):
    with pytest.raises(RecordRefused):
        records.drafts.keep(id, {})


def test_a_form_of_any_size_is_not_kept(records):
    records.drafts.keep("fits", {"a": "x" * (LONGEST_DRAFT - 10)})
    with pytest.raises(RecordRefused, match="too large"):
        records.drafts.keep("does not", {"a": "x" * LONGEST_DRAFT})


def test_a_draft_of_a_consultation_that_is_not_there_is_refused(records):
    id = records.consultations.add(content()).id
    assert records.drafts.keep("there", {}, consultation_id=id).consultation_id == id
    with pytest.raises(NoSuchRecord):
        records.drafts.keep("not there", {}, consultation_id="none")
