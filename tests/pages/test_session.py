from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from itsdangerous import URLSafeTimedSerializer

from tests.pages.open_shop import ADDRESS, OWNER, PASSWORD, SECRET, STAFF, account_id, kept, log_in, open_shop, visitor
from tests.pages.visiting import send
from webapp.pages.session import LASTS, LASTS_UNUSED
from webapp.pages.shop import records_of
from webapp.records.columns import utc_now

COOKIE = "__Host-login"


@pytest.fixture
def shop(app: Flask, tmp_path: Path) -> Iterator[Flask]:
    made = open_shop(tmp_path, app.extensions["catalogue"])
    yield made
    records_of(made).close()


@pytest.fixture
def owner(shop: Flask) -> FlaskClient:
    return visitor(shop, OWNER)


def is_in(browser: FlaskClient) -> bool:
    return browser.get("/password").status_code == 200


def cookie_of(browser: FlaskClient) -> str:
    cookie = browser.get_cookie(COOKIE, "cakes.example")
    return cookie.value if cookie else ""


def copy_of(shop: Flask, browser: FlaskClient) -> FlaskClient:
    """A browser into which somebody has put the cookie of another."""
    thief = shop.test_client()
    thief.set_cookie(COOKIE, cookie_of(browser), domain="cakes.example", secure=True)
    return thief


def age(browser: FlaskClient, **seconds: float) -> None:
    with browser.session_transaction(base_url=ADDRESS) as session:
        for name, by in seconds.items():
            session[name] -= by


def test_a_log_in_ends_twelve_hours_after_it_began(owner: FlaskClient) -> None:
    age(owner, begun=LASTS.total_seconds() - 60)
    assert is_in(owner)
    age(owner, begun=61)
    assert not is_in(owner)


def test_a_log_in_ends_two_hours_after_it_was_last_used(owner: FlaskClient) -> None:
    age(owner, begun=LASTS_UNUSED.total_seconds(), seen=LASTS_UNUSED.total_seconds() - 60)
    assert is_in(owner)
    age(owner, seen=LASTS_UNUSED.total_seconds() - 60)
    assert is_in(owner), "its use was not noted"
    age(owner, seen=LASTS_UNUSED.total_seconds() + 1)
    assert not is_in(owner)


def test_a_log_in_of_the_future_is_none(owner: FlaskClient) -> None:
    """The clock was put back; it would else last until the time it began at, and twelve hours more."""
    age(owner, begun=-3600)
    assert not is_in(owner)


def test_logging_out_ends_every_copy_of_the_log_in_and_no_other(shop: Flask, owner: FlaskClient) -> None:
    thief, elsewhere = copy_of(shop, owner), visitor(shop, OWNER)
    assert is_in(thief)
    response = send(owner, "/log-out")
    assert (response.status_code, response.headers["Clear-Site-Data"]) == (303, '"cache"')
    assert not is_in(owner) and not is_in(thief)
    assert is_in(elsewhere)


def test_what_is_noted_of_log_ins_that_were_ended_does_not_pile_up(shop: Flask) -> None:
    settings = records_of(shop).settings
    settings.put("ended-login/old", 1.0)
    for _ in range(3):
        send(visitor(shop, STAFF), "/log-out")
    ended = [key for key in settings.all() if key.startswith("ended-login/")]
    assert len(ended) == 3 and "ended-login/old" not in ended


def test_a_new_password_ends_the_log_ins_of_before(shop: Flask, owner: FlaskClient) -> None:
    staff = visitor(shop, STAFF)
    id = account_id(shop, STAFF)
    shop.extensions["clock"].moment = utc_now()
    assert send(owner, f"/accounts/{id}/password", {"password": "another long one"}).status_code == 303
    assert not is_in(staff)
    assert log_in(shop.test_client(), STAFF, "another long one").status_code == 303


def test_a_role_counts_at_once(shop: Flask, owner: FlaskClient) -> None:
    staff, id = visitor(shop, STAFF), account_id(shop, STAFF)
    assert staff.get("/accounts").status_code == 403
    records_of(shop).accounts.set_role(id, "owner")
    assert staff.get("/accounts").status_code == 200
    records_of(shop).accounts.set_role(id, "staff")
    assert staff.get("/accounts").status_code == 403


def test_an_account_that_is_removed_is_logged_out(shop: Flask) -> None:
    staff = visitor(shop, STAFF)
    records_of(shop).accounts.remove(account_id(shop, STAFF))
    assert not is_in(staff)
    assert staff.get("/accounts").status_code == 303


def test_the_log_in_is_new_each_time(shop: Flask) -> None:
    browser = shop.test_client()
    logins = []
    for page in ("/log-in", "/accounts"):
        assert send(browser, "/log-in", {"name": OWNER, "password": PASSWORD}, page).status_code == 303
        with browser.session_transaction(base_url=ADDRESS) as session:
            logins.append(session["login"])
    assert logins[0] != logins[1]


def test_a_cookie_that_is_tampered_with_or_signed_by_another_key_is_nobodys(shop: Flask, owner: FlaskClient) -> None:
    with owner.session_transaction(base_url=ADDRESS) as session:
        inside = dict(session)
    forged = URLSafeTimedSerializer("another key of the right length, too", salt="cookie-session").dumps(inside)
    for value in (cookie_of(owner)[:-1], cookie_of(owner) + "x", forged, "", "."):
        thief = shop.test_client()
        thief.set_cookie(COOKIE, value, domain="cakes.example", secure=True)
        assert not is_in(thief)
    assert SECRET not in cookie_of(owner) and PASSWORD not in cookie_of(owner)


def test_cookies_are_closed_to_scripts_to_other_sites_and_to_unencrypted_lines(shop: Flask) -> None:
    browser = shop.test_client()
    answers = [browser.get("/log-in"), log_in(browser, OWNER), browser.post("/units", data={"units": "us"})]
    cookies = [cookie for answer in answers for cookie in answer.headers.getlist("Set-Cookie")]
    assert {cookie.partition("=")[0] for cookie in cookies} == {"csrf", COOKIE, "units"}
    for cookie in cookies:
        parts = set(cookie.split("; "))
        assert {"Secure", "HttpOnly", "SameSite=Lax", "Path=/"} <= parts, cookie


def test_who_asks_is_shown_with_the_way_out(shop: Flask) -> None:
    staff, owner = visitor(shop, STAFF), visitor(shop, OWNER)
    assert f"Logged in as {STAFF}" in staff.get("/families").get_data(as_text=True)
    assert 'href="/accounts"' not in staff.get("/families").get_data(as_text=True)
    assert 'href="/accounts"' in owner.get("/families").get_data(as_text=True)
    assert "Logged in" not in shop.test_client().get("/log-in").get_data(as_text=True)


def test_without_a_session_nothing_of_the_shop_is_in_the_page(shop: Flask) -> None:
    html = shop.test_client().get("/log-in").get_data(as_text=True)
    assert 'aria-label="Main"' not in html and "/words" not in html


def test_records_that_cannot_be_read_let_nobody_in(shop: Flask, owner: FlaskClient) -> None:
    file = records_of(shop).storage.file
    assert file
    file.rename(file.with_suffix(".away"))
    for method in ("GET", "POST"):
        answer = owner.open("/password", method=method)
        assert answer.status_code == 503
        assert "not where they should be" in answer.get_data(as_text=True)
    file.with_suffix(".away").rename(file)
    assert is_in(owner)
    assert kept(shop)
