"""What a phone with a poor connection has to fetch before a brief can be typed."""

from __future__ import annotations

import re

from flask import Flask

FIRST_PAGE_BYTES, FOLLOWING_BYTES = 100_000, 10_000
FETCHED = re.compile(r'<(?:link|script|img)\b[^>]*?(?:href|src)="(/static/[^"]+)"')


def test_the_first_page_with_all_that_it_fetches_is_light(app: Flask) -> None:
    # Seen to fail: with the style sheet counted twice.
    browser = app.test_client()
    page = browser.get("/")
    fetched = set(FETCHED.findall(page.text))
    assert any("style.css" in each for each in fetched) and any("follow.js" in each for each in fetched)
    assert len(page.data) + sum(len(browser.get(each).data) for each in fetched) < FIRST_PAGE_BYTES


def test_the_script_that_follows_the_brief_is_light(app: Flask) -> None:
    # Seen to fail: with a limit of 9,900.
    assert len(app.test_client().get("/static/follow.js").data) < FOLLOWING_BYTES
