from __future__ import annotations

from flask import Flask

from tests.pages.page import Page, PageClient, check_page
from webapp import create_app
from webapp.advice.brief import Brief
from webapp.advice.contract import Advice
from webapp.config import Config
from webapp.units import Measures


def test_a_page_that_is_not_there_says_what_to_do(client: PageClient) -> None:
    for address in ("/nowhere", "/families/shaving-foam"):
        page = client.get(address, 404)
        assert "Start a new brief" in page.text() and "Status" not in page.text()
        assert not [link for link in page.all("a") if link.get("aria-current")]


def test_a_wrong_method_names_the_right_one(client: PageClient) -> None:
    page = Page(client.client.post("/advice"))
    check_page(page)
    assert page.status == 405
    assert "GET" in page.response.headers["Allow"]


def fails(brief: Brief, measures: Measures) -> Advice:
    raise RuntimeError("broken on purpose")


def test_a_fault_of_ours_shows_a_page_and_hides_the_fault(app: Flask) -> None:
    browser = create_app(Config(), app.extensions["catalogue"], fails).test_client()
    page = Page(browser.get("/advice"))
    check_page(page)
    assert page.status == 500
    assert "broken on purpose" not in page.html
    answer = browser.post("/api/advice", json={})
    assert answer.status_code == 500
    assert answer.get_json()["problems"][0]["field"] == "request"
