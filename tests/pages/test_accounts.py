from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.pages.open_shop import OWNER, PASSWORD, STAFF, account_id, log_in, open_shop, visitor
from tests.pages.page import Page, PageClient, check_page
from tests.pages.visiting import hidden_field, send
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


def test_every_page_is_well_formed(shop: Flask, owner: FlaskClient, client: PageClient) -> None:
    check_page(Page(visitor(shop).get("/log-in")))
    for address in ("/password", "/accounts", f"/accounts/{account_id(shop, STAFF)}"):
        check_page(Page(owner.get(address)))
    assert "whoever sits at it is the owner" in client.get("/accounts").text()


def test_who_logs_in_is_led_to_where_they_wanted_to_go(shop: Flask) -> None:
    assert log_in(visitor(shop), STAFF, back="/keeping?x=1").location == "/keeping?x=1"
    assert log_in(visitor(shop), " stan ").location == "/"


ELSEWHERE = ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "", "x", "/\n/e"]


@pytest.mark.parametrize("back", ELSEWHERE)
def test_nobody_is_led_to_another_site(shop: Flask, back: str) -> None:
    assert log_in(visitor(shop), STAFF, back=back).location == "/"
    assert visitor(shop, STAFF).get("/log-in", query_string={"back": back}).location == "/"


WRONG = [(STAFF, "wrong"), ("Nobody", PASSWORD), (STAFF, ""), ("", ""), (OWNER, PASSWORD + "x")]


@pytest.mark.parametrize(("name", "password"), WRONG)
def test_a_wrong_name_is_told_in_the_same_words_as_a_wrong_password(shop: Flask, name: str, password: str) -> None:
    browser = visitor(shop)
    page = Page(log_in(browser, name, password))
    check_page(page)
    assert page.status == 422
    assert "This name and this password do not belong together." in page.text()
    assert browser.get("/accounts").status_code == 303


def test_after_five_failures_even_the_right_password_has_to_wait(shop: Flask) -> None:
    browser = visitor(shop)
    assert [log_in(browser, STAFF, "wrong").status_code for _ in range(5)] == [422] * 5
    response = log_in(browser, STAFF)
    assert (response.status_code, response.headers["Retry-After"]) == (429, "900")
    check_page(Page(response))
    assert log_in(browser, "STÄN").status_code == 429
    assert log_in(browser, OWNER).status_code == 303


def test_the_old_password_cannot_be_guessed_from_an_open_log_in(shop: Flask) -> None:
    staff = visitor(shop, STAFF)
    guess = {"current": "guessed", "password": "another long one"}
    told = [Page(send(staff, "/password", guess)).text() for _ in range(6)]
    assert "not your current password" in told[4] and "too often" in told[5]
    assert records_of(shop).accounts.check(STAFF, PASSWORD)


def test_ones_own_password_can_be_changed_and_the_log_in_goes_on(shop: Flask) -> None:
    staff = visitor(shop, STAFF)
    short = Page(send(staff, "/password", {"current": PASSWORD, "password": "short"}))
    check_page(short)
    assert "has 5 characters. Allowed: 12 to 256 characters" in short.text()
    response = send(staff, "/password", {"current": PASSWORD, "password": "another long one"})
    assert response.status_code == 303
    page = Page(staff.get(response.location))
    check_page(page)
    assert "The password is changed" in page.text()
    assert records_of(shop).accounts.check(STAFF, "another long one")


def test_an_owner_makes_changes_and_removes_accounts(shop: Flask, owner: FlaskClient) -> None:
    assert send(owner, "/accounts", NEW).status_code == 303
    id = account_id(shop, "Nora")
    assert log_in(visitor(shop), "Nora", NEW["password"]).status_code == 303
    send(owner, f"/accounts/{id}/role", {"role": "owner"})
    assert records_of(shop).accounts.get(id).role == "owner"
    send(owner, f"/accounts/{id}/remove", {"sure": "yes"})
    assert {account.name for account in records_of(shop).accounts.list()} == {OWNER, STAFF}


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"name": " olive "}, "The name is taken. Allowed: a name that no other account has."),
        ({"name": ""}, "The name is empty."),
        ({"name": "x" * 81}, "The name has 81 characters."),
        ({"password": "short"}, "The first password has 5 characters."),
    ],
)
def test_an_account_that_cannot_be_is_told_at_its_field(
    shop: Flask, owner: FlaskClient, fields: dict[str, str], told: str
) -> None:
    page = Page(send(owner, "/accounts", NEW | fields))
    check_page(page)
    assert page.status == 422
    assert told in page.text()
    assert page.by_id(f"{next(iter(fields))}-error") is not None
    assert len(records_of(shop).accounts.list()) == 2


def test_both_faults_of_an_account_are_told_at_once(shop: Flask, owner: FlaskClient) -> None:
    # Seen to fail: with the password checked first, the taken name was told only once that was mended.
    page = Page(send(owner, "/accounts", {"name": "olive", "password": "short", "role": "staff"}))
    check_page(page)
    assert "2 things need mending" in page.text()
    assert "is taken" in page.text(page.by_id("name-error"))
    assert "The first password has 5 characters" in page.text(page.by_id("password-error"))


def test_an_account_goes_only_with_the_tick(shop: Flask, owner: FlaskClient) -> None:
    # Seen to fail: without the check of the tick.
    id = account_id(shop, STAFF)
    page = Page(send(owner, f"/accounts/{id}/remove"))
    check_page(page)
    assert (page.status, records_of(shop).accounts.get(id).name) == (422, STAFF)
    assert "Tick that the account is to go" in page.text(page.by_id("remove-error"))


@pytest.mark.parametrize(
    ("change", "fields", "told"),
    [
        ("", NEW, "The account is made."),
        ("/<id>/role", {"role": "staff"}, "The role is changed."),
        ("/<id>/password", {"password": "another long one"}, "The new password counts from now on."),
        ("/<id>/remove", {"sure": "yes"}, "The account is removed."),
    ],
)
def test_the_list_says_what_was_just_done(
    shop: Flask, owner: FlaskClient, change: str, fields: dict[str, str], told: str
) -> None:
    # Seen to fail: without `done` in where the answer leads.
    response = send(owner, f"/accounts{change.replace('<id>', account_id(shop, STAFF))}", fields)
    page = Page(owner.get(response.location))
    check_page(page)
    assert told in page.text()


def test_a_role_that_is_none_is_the_smaller_one(shop: Flask, owner: FlaskClient) -> None:
    send(owner, "/accounts", NEW | {"role": "admin"})
    assert records_of(shop).accounts.get(account_id(shop, "Nora")).role == "staff"


def test_the_last_owner_stays(shop: Flask, owner: FlaskClient) -> None:
    id = account_id(shop, OWNER)
    for change, fields in (("role", {"role": "staff"}), ("remove", {"sure": "yes"})):
        page = Page(send(owner, f"/accounts/{id}/{change}", fields))
        check_page(page)
        assert page.status == 422
        assert "This is the last owner" in page.text()
    assert records_of(shop).accounts.get(id).role == "owner"


def test_an_account_that_is_not_there_is_told(owner: FlaskClient) -> None:
    assert owner.get("/accounts/none").status_code == 404
    for change in ("role", "password", "remove"):
        fields = {"password": "another long one", "sure": "yes"}
        assert send(owner, f"/accounts/none/{change}", fields).status_code == 404


def test_on_this_machine_nobody_logs_in(app: Flask) -> None:
    browser = app.test_client()
    assert browser.get("/log-in").location == "/"
    assert browser.get("/password").status_code == 404
    assert browser.post("/log-in", data=hidden_field(browser)).location == "/"
