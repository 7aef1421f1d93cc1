from __future__ import annotations

import pytest
from flask import Flask

from tests.pages.page import Page
from tests.pages.sample_advice import sample_advisor
from webapp import create_app
from webapp.config import Config
from webapp.pages.crowd import MOST_WAITING, RETRY_AFTER_S, refuse_crowds


@pytest.fixture
def waiting() -> list[int]:
    return [0]


@pytest.fixture
def crowded(app: Flask, waiting: list[int], tmp_path) -> Flask:
    made = create_app(Config(records_dir=tmp_path), app.extensions["catalogue"], sample_advisor)
    refuse_crowds(made, lambda: waiting[0])
    return made


def test_pages_are_refused_only_while_too_many_wait(crowded: Flask, waiting: list[int]) -> None:
    # Seen to fail: without the look at how many wait.
    browser = crowded.test_client()
    for count, status in ((MOST_WAITING, 200), (MOST_WAITING + 1, 503), (0, 200)):
        waiting[0] = count
        assert browser.get("/advice?setting=indoors").status_code == status


def test_who_is_refused_is_told_what_to_do(crowded: Flask, waiting: list[int]) -> None:
    waiting[0] = MOST_WAITING + 1
    refused = crowded.test_client().get("/advice?setting=indoors")
    assert refused.headers["Retry-After"] == str(RETRY_AFTER_S)
    assert "the address keeps your brief" in Page(refused).text()


def test_styles_and_what_is_sent_are_always_taken(crowded: Flask, waiting: list[int]) -> None:
    # Seen to fail: with every request refused.
    waiting[0] = MOST_WAITING + 1
    browser = crowded.test_client()
    assert browser.get("/static/style.css").status_code == 200
    assert browser.post("/api/advice", json={}).status_code == 200
