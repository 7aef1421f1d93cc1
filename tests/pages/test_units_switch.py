from __future__ import annotations

import pytest
from flask.testing import FlaskClient

from tests.pages.page import PageClient


@pytest.mark.parametrize(("page", "mark"), [("/advice", 'name="air_high_f"'), ("/advice/map", "units=us")])
def test_an_address_may_name_the_measures(client: PageClient, page: str, mark: str) -> None:
    query = "setting=shade&air_high_c=31"
    assert mark in client.get(f"{page}?{query}&units=us").html.split("<main", 1)[1]
    assert mark not in client.get(f"{page}?{query}").html.split("<main", 1)[1]


def test_a_redirect_keeps_the_measures(browser: FlaskClient) -> None:
    response = browser.get("/advice?air_high_f=86&units=us")
    assert (response.status_code, response.location) == (303, "/advice?air_high_c=30&units=us")


def test_the_switch_overrules_the_measures_of_an_address(browser: FlaskClient) -> None:
    response = browser.post("/units", data={"units": "metric", "back": "/advice?units=us&air_high_c=30"})
    assert response.location == "/advice?air_high_c=30"
    assert browser.post("/units", data={"back": "/advice?units=us"}).location == "/advice"
