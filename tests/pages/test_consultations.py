from __future__ import annotations

import datetime as dt
import html
import re
from dataclasses import replace

import pytest
from flask import Flask

from tests.pages.keeping_shop import BRIEF, NAMES, as_sent_by, keep, send, shown
from tests.pages.page import PageClient
from tests.pages.sample_advice import AMERICAN, FRENCH
from webapp.pages.consultations import zone_name
from webapp.records.consultations import Consultations, Content, content_of
from webapp.records.errors import StorageFull, StorageReadOnly
from webapp.records.model import Consultation


def test_the_advice_leads_to_the_form_that_keeps_it(keeper: PageClient) -> None:
    advice = keeper.get("/advice?" + BRIEF)
    address = next(a.get("href", "") for a in advice.all("a") if advice.text(a) == "Keep this")
    page = keeper.get(address)
    assert page.value("client") == "" and "What is kept" in page.text()


def test_what_is_kept_is_the_brief_the_advice_and_the_versions(keeper: PageClient, kept: Consultations) -> None:
    record = kept.get(keep(keeper.client))
    assert (record.client, record.event, str(record.event_date)) == tuple(NAMES.values())
    assert record.advised.brief["air_high_c"] == 31 and record.advised.brief["piping"] == "rosettes"
    assert record.advised.advice["verdict"] == record.verdict
    assert re.fullmatch(r"[0-9a-f]{16}", record.advised.data_version)
    assert re.fullmatch(r"[0-9.]+\+[0-9a-f]{8}", record.advised.code_version)
    page = keeper.get(f"/consultations/{record.id}")
    assert "Garden wedding" in page.text() and "are still the same" in page.text().replace("\xa0", " ")


def test_names_that_are_missing_are_asked_for_and_what_was_typed_stays(keeper: PageClient) -> None:
    wrong = {"client": " ", "event": "Party", "event_date": "soon", "brief": BRIEF}
    page = shown(send(keeper.client, "/consultations", wrong))
    assert page.status == 422
    assert "Enter the client’s name (up to 200 characters)." in page.text() and "as year-month-day" in page.text()
    assert page.value("event") == "Party" and page.value("event_date") == "soon"


@pytest.mark.parametrize("fault", [StorageFull, StorageReadOnly])
def test_a_disk_that_takes_nothing_leaves_the_form_filled(
    keeper: PageClient, monkeypatch: pytest.MonkeyPatch, fault: type[Exception]
) -> None:
    def fails(*_: object) -> Consultation:
        raise fault()

    id = keep(keeper.client)
    for name, address in (("add", "/consultations"), ("save", f"/consultations/{id}")):
        with monkeypatch.context() as patched:
            patched.setattr(Consultations, name, fails)
            sent = {"brief": BRIEF, "revision": "1", **NAMES, "event": "A new name"}
            page = shown(send(keeper.client, address, sent))
        assert page.status == 503
        assert "Nothing was saved" in page.text() and page.value("event") == "A new name"


def test_a_reopened_consultation_says_what_changed_since_and_keeps_a_new_advice_when_asked(
    keeper: PageClient, kept: Consultations
) -> None:
    id = keep(keeper.client)
    older = content_like(kept.get(id), chance=0.5, data_version="0123456789abcdef")
    record = kept.save(id, older, 1)
    page = keeper.get(f"/consultations/{id}")
    text = page.text().replace("\xa0", " ")
    assert "Data: 0123456789abcdef then" in text and "The same brief is answered otherwise now" in text
    assert "50 %" in text
    assert kept.get(id).advised.data_version == "0123456789abcdef"  # looking changes nothing
    sent = send(keeper.client, f"/consultations/{id}/anew", {"revision": str(record.revision)})
    assert sent.location.endswith("done=anew")
    assert kept.get(id).advised.data_version != "0123456789abcdef"
    assert "What has changed since" not in keeper.get(f"/consultations/{id}").text()


def content_like(record: Consultation, chance: float, data_version: str) -> Content:
    content = content_of(record)
    hold = content.advice["hold"] | {"chance": chance}
    return replace(content, advice=content.advice | {"hold": hold}, data_version=data_version)


def test_what_fails_is_said_to_fail_and_what_would_change_it(keeper: PageClient) -> None:
    # Seen to fail: the best of those that fail stood below "What was advised" like a recommendation.
    sunny = BRIEF.replace("setting=shade", "setting=sun")
    failing = keeper.get(f"/consultations/{keep(keeper.client, brief=sunny)}").text()
    assert "The best of those that fail" in failing
    assert "What would change the answer: Start later. Leave colder." in " ".join(failing.split())
    assert "a close call" not in failing and "in full sun" in failing
    holding = keeper.get(f"/consultations/{keep(keeper.client)}").text()
    assert "The best of those that fail" not in holding and "a close call" in holding


def test_a_kept_advice_says_what_the_cake_must_be_free_of(keeper: PageClient) -> None:
    # Seen to fail: with the hours on display as the last that was told of the brief.
    id = keep(keeper.client, brief=f"{BRIEF}&diet=soy-free")
    assert "on display; free of soy." in keeper.get(f"/consultations/{id}").text()


def test_a_rule_has_the_readers_degrees_first(keeper: PageClient) -> None:
    id = keep(keeper.client)
    told = [keeper.get(f"/consultations/{id}?units={units}").text().replace("\xa0", " ") for units in ("uk", "us")]
    assert "to 71 °C (160 °F)" in told[0] and "to 160 °F (71 °C)" in told[1]


def test_an_advice_that_cannot_be_read_any_more_is_said_and_stays(keeper: PageClient, kept: Consultations) -> None:
    id = keep(keeper.client)
    kept.save(id, replace(content_of(kept.get(id)), advice={"verdict": "holds", "form": "of long ago"}), 1)
    page = keeper.get(f"/consultations/{id}")
    assert "cannot be read by this version" in page.text()
    assert kept.get(id).advised.advice == {"verdict": "holds", "form": "of long ago"}


def test_the_list_searches_sorts_and_turns_round(keeper: PageClient) -> None:
    for client, day in (("Ærø", "2027-05-01"), ("Bo", "2027-07-01"), ("Zoë", "")):
        keep(keeper.client, client=client, event_date=day)

    def names(query: str) -> list[str]:
        page = keeper.get(f"/consultations?{query}")
        cells = [page.text(cell) for cell in page.all("th") if cell.get("scope") == "row"]
        return [cell.removesuffix(" Garden wedding") for cell in cells]

    assert names("sort=client") == ["Ærø", "Bo", "Zoë"]
    assert names("sort=client&reverse=1") == ["Zoë", "Bo", "Ærø"]
    assert names("sort=event") == ["Bo", "Ærø", "Zoë"]
    assert names("q=zoe garden") == ["Zoë"]
    assert names("q=nobody") == []
    # Seen to fail: one consultation alone was to be compared as well.
    assert "Compare those ticked" in keeper.get("/consultations").text()
    assert "Compare those ticked" not in keeper.get("/consultations?q=zoe garden").text()
    assert names("sort=hacked&page=999999999999&show=none") == ["Zoë", "Bo", "Ærø"]


@pytest.mark.parametrize(
    ("minutes", "name"), [(0, "UTC"), (120, "UTC+2"), (-480, "UTC−8"), (330, "UTC+5:30"), (-210, "UTC−3:30")]
)
def test_a_zone_is_named_by_its_distance_from_utc(minutes: int, name: str) -> None:
    zone = dt.timezone(dt.timedelta(minutes=minutes))
    assert zone_name(dt.datetime(2027, 6, 26, 12, tzinfo=zone)) == name


def test_a_deletion_is_undone_on_the_spot(keeper: PageClient, kept: Consultations) -> None:
    id = keep(keeper.client)
    sent = send(keeper.client, f"/consultations/{id}/delete", {"revision": "1"})
    page = keeper.get(sent.location)
    assert "Garden wedding, Zoë Müller: deleted." in page.text() and "Nothing is kept yet" in page.text()
    undo = as_sent_by(page, f"/consultations/{id}/restore")
    assert keeper.client.post(f"/consultations/{id}/restore", data=undo).status_code == 303
    assert kept.get(id).deleted_at is None
    assert "1 consultation" in keeper.get("/consultations").text()


def test_what_was_deleted_can_only_be_brought_back(keeper: PageClient, kept: Consultations) -> None:
    id = keep(keeper.client)
    kept.delete(id)
    page = keeper.get(f"/consultations/{id}")
    changing = [form.get("action") for form in page.all("form") if (form.get("action") or "").startswith("/cons")]
    assert changing == [f"/consultations/{id}/restore"]
    refused = shown(send(keeper.client, f"/consultations/{id}", {**NAMES, "event": " ", "revision": "1"}))
    assert refused.status == 422 and refused.value("client") == NAMES["client"]


def test_where_nothing_differs_there_is_nothing_to_keep(keeper: PageClient) -> None:
    # Seen to fail: the button that keeps the new advice stood below "answered as it was".
    id = keep(keeper.client)
    page = keeper.get(f"/consultations/{id}?anew=1")
    assert "Still the same answer" in page.text() and "Keep the new advice" not in page.text()


def test_the_archive_takes_and_gives_back_and_a_copy_is_another_one(keeper: PageClient, kept: Consultations) -> None:
    id = keep(keeper.client)
    copy = send(keeper.client, f"/consultations/{id}/duplicate").location.split("/")[2].partition("?")[0]
    assert kept.get(copy).event == "Garden wedding (copy)"
    assert kept.get(copy).advised.advice == kept.get(id).advised.advice
    send(keeper.client, f"/consultations/{id}/archive", {"revision": "1"})
    assert "1 consultation" in keeper.get("/consultations").text()
    assert "Zoë Müller" in keeper.get("/consultations?show=archived").text()
    send(keeper.client, f"/consultations/{id}/unarchive")
    assert "2 consultations" in keeper.get("/consultations").text()


def test_a_choice_is_one_of_what_was_compared(keeper: PageClient, kept: Consultations) -> None:
    id = keep(keeper.client)
    choice = {"coat": AMERICAN["formulation"], "filling": FRENCH["formulation"], "revision": "1"}
    assert send(keeper.client, f"/consultations/{id}/choice", choice).status_code == 303
    assert (kept.get(id).coat, kept.get(id).filling) == (choice["coat"], choice["filling"])
    page = keeper.get(f"/consultations/{id}")
    assert "French, all butter chosen" in [page.text(label) for label in page.all("label")]
    bad = shown(send(keeper.client, f"/consultations/{id}/choice", choice | {"coat": "mud", "revision": "2"}))
    assert bad.status == 422 and kept.get(id).coat == choice["coat"]


def test_what_no_formulation_can_be_called_is_not_kept_as_chosen(keeper: PageClient, kept: Consultations) -> None:
    # Seen to fail: it was kept in the file, and on PostgreSQL it gave 500.
    id = keep(keeper.client, coat="a\x00b", filling="c")
    assert (kept.get(id).coat, kept.get(id).filling) == (None, None)


def test_the_second_of_two_browsers_is_told_and_loses_nothing(keeping: Flask, kept: Consultations) -> None:
    first, second = PageClient(keeping.test_client()), PageClient(keeping.test_client())
    id = keep(first.client)
    address = f"/consultations/{id}"
    forms = [as_sent_by(browser.get(address), address) for browser in (first, second)]
    assert first.client.post(address, data=forms[0] | {"event": "Wedding in the tent"}).status_code == 303
    told = shown(second.client.post(address, data=forms[1] | {"client": "Zoë Müller-Ruiz"}))
    assert told.status == 409
    assert "Nothing of yours was saved yet, and nothing is lost" in told.text()
    assert "Zoë Müller-Ruiz" in told.text() and "Wedding in the tent" in told.text()
    assert kept.get(id).event == "Wedding in the tent"
    another = as_sent_by(told, "/consultations")
    assert second.client.post("/consultations", data=another).status_code == 303
    assert {row.client for row in kept.list().rows} == {"Zoë Müller", "Zoë Müller-Ruiz"}
    assert second.client.post(address, data=as_sent_by(told, address)).status_code == 303
    assert (kept.get(id).client, kept.get(id).event) == ("Zoë Müller-Ruiz", "Garden wedding")


@pytest.mark.parametrize("change", ["archive", "delete", "choice", "anew"])
def test_no_other_change_goes_over_one_that_was_not_seen(keeper: PageClient, kept: Consultations, change: str) -> None:
    id = keep(keeper.client)
    kept.archive(id)
    before = kept.get(id)
    fields = {"coat": AMERICAN["formulation"], "filling": FRENCH["formulation"], "revision": "1"}
    told = shown(send(keeper.client, f"/consultations/{id}/{change}", fields))
    assert told.status == 409
    after = kept.get(id)
    assert (after.revision, after.coat, after.deleted_at) == (before.revision, before.coat, None)
    again = as_sent_by(told, f"/consultations/{id}/{change}")
    assert keeper.client.post(f"/consultations/{id}/{change}", data=again).status_code == 303


def test_saving_what_was_deleted_meanwhile_brings_it_back(keeper: PageClient, kept: Consultations) -> None:
    id = keep(keeper.client)
    kept.delete(id)
    told = shown(send(keeper.client, f"/consultations/{id}", {**NAMES, "event": "Still on", "revision": "1"}))
    assert told.status == 409 and "was deleted in another browser" in told.text()
    assert keeper.client.post(f"/consultations/{id}", data=as_sent_by(told, f"/consultations/{id}")).status_code == 303
    assert kept.get(id).deleted_at is None and kept.get(id).event == "Still on"


def test_what_is_not_there_is_said(keeper: PageClient) -> None:
    page = keeper.get("/consultations/" + "0" * 32, 404)
    assert "There is no such consultation" in page.text()


def test_names_are_shown_as_typed_and_never_run(keeper: PageClient) -> None:
    id = keep(keeper.client, client="<script>alert(1)</script>")
    page = keeper.get(f"/consultations/{id}")
    assert html.escape("<script>alert(1)</script>") in page.html and "<script>alert" not in page.html
