from __future__ import annotations

import datetime as dt

import pytest
from sqlalchemy import text

from tests.records.samples import ADVICE, content
from webapp.records.errors import NoSuchRecord

DAY = dt.timedelta(days=1)


@pytest.fixture
def made(records):
    return records.links.make(records.consultations.add(content()).id, 30 * DAY)


def test_a_link_opens_its_consultation_and_no_other(records, made):
    records.consultations.add(content("Another"))
    opened = records.links.open(made.token)
    assert (opened.id, opened.client) == (made.link.consultation_id, "Zoë Müller")
    assert opened.advised.advice == ADVICE


def test_a_link_ends_on_time(records, clock, made):
    clock.go(days=30, microseconds=-1)
    assert records.links.open(made.token)
    clock.go(microseconds=1)
    with pytest.raises(NoSuchRecord):
        records.links.open(made.token)


def test_a_revoked_link_opens_nothing_from_then_on(records, clock, made):
    clock.go(hours=1)
    revoked = records.links.revoke(made.link.id)
    clock.go(hours=1)
    assert records.links.revoke(made.link.id).revoked_at == revoked.revoked_at
    with pytest.raises(NoSuchRecord):
        records.links.open(made.token)


def test_a_link_to_a_deleted_consultation_opens_nothing_and_opens_again_when_that_is_undone(records, made):
    id = made.link.consultation_id
    records.consultations.delete(id)
    with pytest.raises(NoSuchRecord):
        records.links.open(made.token)
    with pytest.raises(NoSuchRecord):
        records.links.make(id, DAY)
    records.consultations.restore(id)
    assert records.links.open(made.token).id == id


def test_every_other_token_opens_nothing_in_the_same_words(records, made):
    name, secret = made.token.split(".")
    other = records.links.make(made.link.consultation_id, DAY).token.split(".")[1]
    wrong = [
        "",
        ".",
        name,
        f"{name}.",
        f".{secret}",
        f"{name}.{secret[:-1]}",
        f"{name}.{secret}x",
        f"{name}.{secret.swapcase()}",
        f"{name}.{other}",
        f"{name}.{made.link.digest}",
        f"{secret}.{name}",
        f" {made.token}",
        f"{name}.{secret}".replace(name[0], "%"),
        f"{name}\x00.{secret}",
        f"{name}.\ud800",
        "x" * 100_000,
    ]
    words = set()
    for token in wrong:
        with pytest.raises(NoSuchRecord) as refused:
            records.links.open(token)
        words.add(str(refused.value))
    assert len(words) == 1


def test_the_secret_is_nowhere_in_the_records(records, made):
    secret = made.token.split(".")[1]
    with records.storage.reading() as session:
        (row,) = session.execute(text("SELECT * FROM link"))
    assert secret not in str(row)
    assert len(secret) >= 43  # 256 bits in base64


def test_links_are_listed_the_latest_first(records, clock, made):
    clock.go(hours=1)
    later = records.links.make(made.link.consultation_id, DAY)
    assert later.token != made.token
    listed = records.links.of_consultation(made.link.consultation_id)
    assert [link.id for link in listed] == [later.link.id, made.link.id]


def test_only_what_is_there_can_be_linked_or_revoked(records):
    for attempt in (lambda: records.links.make("none", DAY), lambda: records.links.revoke("none")):
        with pytest.raises(NoSuchRecord):
            attempt()
