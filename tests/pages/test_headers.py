from __future__ import annotations

import pytest
from flask.testing import FlaskClient


def test_every_answer_carries_the_whole_policy(browser: FlaskClient) -> None:
    for address in ("/", "/nowhere", "/api/schema", "/static/style.css"):
        with browser.get(address) as response:
            headers = response.headers
        assert headers["Content-Security-Policy"] == (
            "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; "
            "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
        )
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "same-origin"
        assert headers["Cross-Origin-Opener-Policy"] == "same-origin"


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost", "localhost:9", "LOCALHOST:8000"])
def test_this_machine_is_answered(browser: FlaskClient, host: str) -> None:
    assert browser.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize("host", ["example.org", "127.0.0.1.example.org", "localhost.example.org:8000"])
def test_any_other_host_is_refused(browser: FlaskClient, host: str) -> None:
    assert browser.get("/", headers={"Host": host}).status_code == 400


@pytest.mark.parametrize("host", ["a..b", "x" * 64 + ".org"])
def test_a_host_that_cannot_be_is_refused_in_plain_words(browser: FlaskClient, host: str) -> None:
    for address in ("/", "/static/style.css"):
        response = browser.get(address, headers={"Host": host})
        assert (response.status_code, response.mimetype) == (400, "text/plain")
    assert browser.get("/api/schema", headers={"Host": host}).get_json()["problems"]
