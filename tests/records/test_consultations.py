from __future__ import annotations

import datetime as dt
import threading

import pytest
from sqlalchemy import event, text

from tests.records.samples import ADVICE, BRIEF, content
from webapp.records.consultations import content_of
from webapp.records.errors import NoSuchRecord, RecordRefused, StaleRevision
from webapp.records.outcomes import Note


def names(page):
    return [row.client for row in page.rows]


def test_what_was_advised_comes_back_as_it_was(records):
    added = records.consultations.add(content(coat="swiss", filling="american"))
    kept = records.consultations.get(added.id)
    assert content_of(kept) == content(coat="swiss", filling="american")
    assert list(kept.advised.advice) == list(ADVICE)  # the order of its keys too
    assert kept.advised.brief == BRIEF
    assert (kept.verdict, kept.revision) == ("holds", 1)


def test_times_are_utc(records, clock):
    clock.moment = dt.datetime(2027, 5, 1, 23, 30, 0, 123456, dt.timezone(-dt.timedelta(hours=7)))
    kept = records.consultations.get(records.consultations.add(content()).id)
    assert kept.created_at == clock.moment
    assert kept.created_at.utcoffset() == dt.timedelta(0)
    assert kept.created_at.microsecond == 123456


@pytest.mark.parametrize("query", ["muller", "MÜLLER", "zoe garden", "wedding zoë", "  Zo ", "ll", ""])
def test_a_search_finds_every_word_whatever_its_case_and_accents(records, query):
    records.consultations.add(content())
    assert names(records.consultations.list(query)) == ["Zoë Müller"]


@pytest.mark.parametrize("query", ["zoe birthday", "müllergarden", "ergard", "%", "_", "\\", "o%m"])
def test_a_search_finds_nothing_else(records, query):
    records.consultations.add(content())
    assert records.consultations.list(query).total == 0


def test_signs_that_a_database_might_read_as_its_own_are_found_as_they_are(records):
    records.consultations.add(content("100% Ltd", "a_b \\ c/d"))
    for query in ("100%", "a_b", "\\", "/"):
        assert records.consultations.list(query).total == 1


def test_a_list_is_sorted_and_turned_round(records, clock):
    for client, date in (("Bo", None), ("ál", dt.date(2027, 7, 1)), ("Cy", dt.date(2027, 6, 1))):
        records.consultations.add(content(client, event_date=date))
        clock.go(minutes=1)
    oldest = records.consultations.list(sort="created", reverse=True).rows[0]
    records.consultations.save(oldest.id, content("Bo", event_date=None), 1)

    def listed(sort, reverse=False):
        return names(records.consultations.list(sort=sort, reverse=reverse))

    assert listed("client") == ["ál", "Bo", "Cy"]
    assert listed("client", True) == ["Cy", "Bo", "ál"]
    assert listed("created") == ["Cy", "ál", "Bo"]
    assert listed("updated") == ["Bo", "Cy", "ál"]
    assert listed("event") == ["ál", "Cy", "Bo"]
    assert listed("event", True) == ["Cy", "ál", "Bo"]


@pytest.mark.parametrize("sort", ["updated", "created", "event", "client"])
@pytest.mark.parametrize("archived", [False, True])
def test_a_list_walks_its_index_and_a_search_looks_at_nothing_else(file_records, sort, archived):
    kept = file_records.consultations.add(content())
    if archived:
        file_records.consultations.archive(kept.id)
    asked = []
    event.listen(file_records.storage.engine, "before_cursor_execute", lambda *call: asked.append(call[2:4]))
    file_records.consultations.list("zoe wedding", sort, archived=archived)
    plans = []
    with file_records.storage.engine.connect() as connection:
        for statement, values in [call for call in asked if call[0].startswith("SELECT")]:
            plans.append(str(connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values).all()))
    counting, showing = plans
    assert "COVERING INDEX" in counting
    assert "USING INDEX ix_consultation_by_" in showing
    if not archived:  # the archive is a range of the index, not one place in it: what is found there is sorted
        assert "TEMP B-TREE" not in showing


def test_pages_hold_each_consultation_once(records):
    for number in range(7):
        records.consultations.add(content(f"client {number}"))  # all at the same moment
    pages = [records.consultations.list(page=number, size=3) for number in (1, 2, 3)]
    assert [len(page.rows) for page in pages] == [3, 3, 1]
    assert len({row.id for page in pages for row in page.rows}) == 7
    assert (pages[0].total, pages[0].last) == (7, 3)


@pytest.mark.parametrize(("asked", "given"), [(0, 1), (-5, 1), (99, 1)])
def test_a_page_that_is_not_there_becomes_the_nearest(records, asked, given):
    records.consultations.add(content())
    page = records.consultations.list(page=asked)
    assert (page.number, len(page.rows)) == (given, 1)


def test_an_empty_list_has_one_page(records):
    page = records.consultations.list()
    assert (page.rows, page.total, page.number, page.last) == ((), 0, 1, 1)


def test_the_second_of_two_saves_is_told_and_loses_nothing(records, clock):
    id = records.consultations.add(content()).id
    records.consultations.save(id, content("By the first"), 1)
    with pytest.raises(StaleRevision) as told:
        records.consultations.save(id, content("By the second"), 1)
    theirs = told.value.theirs
    assert (theirs.client, theirs.revision, theirs.advised.advice) == ("By the first", 2, ADVICE)
    assert records.consultations.get(id).client == "By the first"
    records.consultations.save(id, content("By the second"), theirs.revision)
    assert records.consultations.get(id).client == "By the second"


def test_of_many_who_save_at_once_one_wins_each_time(records, patient_records):
    id = records.consultations.add(content()).id
    told: list[str] = []
    ready = threading.Barrier(4)

    def save(name):
        ready.wait()
        try:
            patient_records.consultations.save(id, content(name), 1)
        except StaleRevision:
            told.append(name)

    threads = [threading.Thread(target=save, args=(f"browser {number}",)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    kept = records.consultations.get(id)
    assert kept.revision == 2
    assert sorted([*told, kept.client]) == [f"browser {number}" for number in range(4)]


def test_who_saves_what_was_deleted_meanwhile_is_told(records):
    id = records.consultations.add(content()).id
    records.consultations.delete(id)
    with pytest.raises(StaleRevision) as told:
        records.consultations.save(id, content(), 1)
    assert told.value.theirs.deleted_at is not None


def test_a_choice_is_kept(records):
    id = records.consultations.add(content()).id
    chosen = records.consultations.choose(id, "italian", "swiss", 1)
    assert (chosen.coat, chosen.filling, chosen.revision) == ("italian", "swiss", 2)
    with pytest.raises(StaleRevision):
        records.consultations.choose(id, "french", "swiss", 1)


def test_a_duplicate_is_a_consultation_of_its_own(records, clock):
    first = records.consultations.add(content(coat="swiss", filling="swiss"))
    clock.go(hours=1)
    copy = records.consultations.duplicate(first.id, "Silver wedding")
    assert copy.id != first.id
    assert copy.created_at == clock.moment
    records.consultations.save(copy.id, content("Another", "Silver wedding"), copy.revision)
    assert content_of(records.consultations.get(first.id)) == content(coat="swiss", filling="swiss")
    assert records.consultations.list("silver").total == 1


def test_the_archive_is_a_list_of_its_own(records):
    kept = records.consultations.add(content("Kept"))
    away = records.consultations.archive(records.consultations.add(content("Away")).id)
    assert names(records.consultations.list()) == ["Kept"]
    assert names(records.consultations.list(archived=True)) == ["Away"]
    records.consultations.unarchive(away.id)
    assert {*names(records.consultations.list())} == {"Kept", "Away"}
    assert records.consultations.get(kept.id).revision == 1


def test_deleting_can_be_undone_until_it_is_purged(records, clock):
    id = records.consultations.add(content()).id
    records.consultations.delete(id)
    assert records.consultations.list().total == records.consultations.list(archived=True).total == 0
    assert names(records.consultations.list(deleted=True)) == ["Zoë Müller"]
    records.consultations.restore(id)
    assert content_of(records.consultations.get(id)) == content()
    records.consultations.delete(id)
    assert records.consultations.purge(clock.moment) == 0
    clock.go(days=1)
    assert records.consultations.purge(clock.moment) == 1
    with pytest.raises(NoSuchRecord):
        records.consultations.restore(id)


def test_purging_leaves_nothing_of_the_client_but_the_note_on_the_coat(records, clock):
    id = records.consultations.add(content()).id
    records.outcomes.add(id, Note("swiss", "smooth", {}, held_h=3))
    records.links.make(id, dt.timedelta(days=1))
    records.drafts.keep("draft", {}, consultation_id=id)
    records.consultations.delete(id)
    clock.go(days=1)
    records.consultations.purge(clock.moment)
    with records.storage.reading() as session:
        left = [session.scalar(text(f"SELECT count(*) FROM {name}")) for name in ("advised", "link", "draft")]
    assert left == [0, 0, 0]
    (note,) = records.outcomes.of_formulation("swiss")
    assert note.consultation_id is None


def test_only_what_is_there_can_be_changed(records):
    for attempt in (
        lambda: records.consultations.get("none"),
        lambda: records.consultations.save("none", content(), 1),
        lambda: records.consultations.delete("none"),
        lambda: records.consultations.duplicate("none"),
    ):
        with pytest.raises(NoSuchRecord):
            attempt()


@pytest.mark.parametrize("bad", ["", "   ", "x" * 201, "a\u0000b", "a\x1bb", "\ud800"])
@pytest.mark.parametrize("field", ["client", "event"])
def test_a_name_that_is_no_plain_text_is_refused_and_nothing_kept(records, field, bad):
    with pytest.raises(RecordRefused) as refused:
        records.consultations.add(content(**{field: bad}))
    assert refused.value.problem.field == field
    assert records.consultations.list().total == 0


def test_a_save_that_fails_half_way_changes_nothing(records):
    id = records.consultations.add(content()).id
    with pytest.raises(RecordRefused):
        records.consultations.save(id, content("Changed", ""), 1)
    assert content_of(records.consultations.get(id)) == content()
