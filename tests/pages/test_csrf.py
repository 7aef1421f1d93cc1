from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.pages.open_shop import OWNER, PASSWORD, STAFF, kept, log_in, open_shop, visitor
from tests.pages.page import Page, check_page
from tests.pages.visiting import hidden_field, send
from webapp import create_app
from webapp.config import Config
from webapp.pages.csrf import COOKIE, FIELD
from webapp.pages.shop import records_of

NEW = {"name": "Nora", "password": "let me in, I say", "role": "staff"}


@pytest.fixture
def shop(app: Flask, tmp_path: Path) -> Iterator[Flask]:
    made = open_shop(tmp_path, app.extensions["catalogue"])
    yield made
    records_of(made).close()


@pytest.fixture
def owner(shop: Flask) -> FlaskClient:
    return visitor(shop, OWNER)


def test_a_field_fits_its_own_cookie_only(shop: Flask, owner: FlaskClient) -> None:
    strangers, mine = hidden_field(visitor(shop), "/log-in"), hidden_field(owner)
    for fields in ({}, strangers, {FIELD: ""}, {FIELD: mine[FIELD][:-1]}, {FIELD: "é"}):
        assert owner.post("/accounts", data=NEW | fields).status_code == 400
    assert owner.post("/accounts", data=NEW | mine).status_code == 303


def test_a_planted_cookie_does_not_fit_a_log_in(shop: Flask, owner: FlaskClient) -> None:
    stranger = visitor(shop)
    field = hidden_field(stranger, "/log-in")
    planted = stranger.get_cookie(COOKIE, "cakes.example")
    assert planted
    owner.set_cookie(COOKIE, planted.value, domain="cakes.example")
    before = kept(shop)
    assert owner.post("/accounts", data=NEW | field).status_code == 400
    assert kept(shop) == before


@pytest.mark.parametrize("short", ["", "a", "x" * 31])
def test_a_cookie_that_could_be_guessed_is_replaced(owner: FlaskClient, short: str) -> None:
    owner.set_cookie(COOKIE, short, domain="cakes.example")
    assert owner.post("/accounts", data=NEW | {FIELD: short}).status_code == 400
    hidden_field(owner)
    cookie = owner.get_cookie(COOKIE, "cakes.example")
    assert cookie and len(cookie.value) >= 43


def test_the_field_of_before_the_log_in_is_not_good_after_it(shop: Flask) -> None:
    browser = visitor(shop)
    before = hidden_field(browser, "/log-in")
    log_in(browser, OWNER)
    assert browser.post("/accounts", data=NEW | before).status_code == 400


def test_the_field_of_one_log_in_is_not_good_for_the_next(shop: Flask, owner: FlaskClient) -> None:
    field = hidden_field(owner)
    send(owner, "/log-out")
    log_in(owner, OWNER)
    assert owner.post("/accounts", data=NEW | field).status_code == 400


def test_the_field_outlives_a_restart(app: Flask, tmp_path: Path) -> None:
    config, advise = Config(records_dir=tmp_path), app.extensions["advisor"]
    first, second = (create_app(config, app.extensions["catalogue"], advise) for _ in range(2))
    browser = first.test_client()
    field = hidden_field(browser)
    cookie = browser.get_cookie(COOKIE)
    assert cookie
    again = second.test_client()
    again.set_cookie(COOKIE, cookie.value)
    assert again.post("/accounts", data=NEW | field).status_code == 303


def test_a_form_that_is_not_taken_keeps_what_was_typed_and_can_be_sent_again(shop: Flask, owner: FlaskClient) -> None:
    id = next(account.id for account in records_of(shop).accounts.list() if account.name == STAFF)
    typed = {"role": "owner", "remark": 'First "line"\n30 °C, 3 h & <b>'}
    page = Page(owner.post(f"/accounts/{id}/role?x=1", data=typed))
    check_page(page)
    assert page.status == 400
    assert page.by_id("send-again").get("action") == f"/accounts/{id}/role?x=1"
    pairs = dict(page.form_pairs("send-again"))
    assert {name: pairs[name] for name in typed} == typed
    assert owner.post(f"/accounts/{id}/role", data=pairs).status_code == 303
    assert records_of(shop).accounts.get(id).role == "owner"


def test_who_was_logged_out_meanwhile_can_log_in_and_send_it_again(shop: Flask) -> None:
    browser = visitor(shop)
    page = Page(browser.post("/consultations", data={"client": "Zoë", "remark": "x"}))
    check_page(page)
    assert page.status == 401
    assert "Zoë" in str(page.form_pairs("send-again"))
    log_in(browser, STAFF)
    again = Page(browser.post("/consultations", data=dict(page.form_pairs("send-again"))))
    assert again.status == 400
    assert ("client", "Zoë") in again.form_pairs("send-again")


def test_a_password_is_never_written_into_a_page(owner: FlaskClient) -> None:
    for fields in ({"password": PASSWORD}, {"current": PASSWORD}):
        page = Page(owner.post("/accounts", data={"name": "Nora", **fields}))
        check_page(page)
        assert PASSWORD not in page.html
        assert ("name", "Nora") in page.form_pairs("send-again")
        assert page.by_id(next(iter(fields))).get("type") == "password"  # to be typed anew
    wrong = Page(send(owner, "/log-in", {"name": OWNER, "password": "wrong but long"}))
    assert "wrong but long" not in wrong.html


def test_a_page_without_a_form_of_ours_hands_out_no_cookie(app: Flask) -> None:
    browser = app.test_client()
    browser.get("/families")
    assert browser.get_cookie(COOKIE) is None
