"""The part of the page that the script swaps in: the page's own markup, and nothing else."""

from __future__ import annotations

import re

import html5lib
import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.pages.page import PageClient

PART = {"X-Fragment": "advice"}
GARDEN = "/advice?setting=shade&air_high_c=31&hold_hours=3"
WRONG = "/advice?air_high_c=hot&hold_hours=40"
STYLE, SCRIPT, MARK = "/static/style.css", "/static/follow.js", "/static/mark.svg"
MOST_OF_THE_FIRST_PAGE, MOST_OF_THE_SCRIPT = 100_000, 10_000


def part_of(browser: FlaskClient, address: str, status: int = 200) -> str:
    response = browser.get(address, headers=PART)
    assert response.status_code == status
    return response.get_data(as_text=True)


def test_the_part_stands_in_the_page_letter_for_letter(browser: FlaskClient) -> None:
    bar, begun, article = part_of(browser, GARDEN).partition("<article")
    page = browser.get(GARDEN).get_data(as_text=True)
    assert bar.startswith('<p class="verdict-bar') and bar in page
    assert begun + article.rstrip() in page


def test_the_part_is_well_formed_and_not_a_whole_page(browser: FlaskClient) -> None:
    part = part_of(browser, GARDEN)
    html5lib.HTMLParser(strict=True).parseFragment(part)
    assert [tag for tag in ("<html", "<head>", "<form", "<script", "<nav") if tag in part] == []


@pytest.mark.parametrize("more", ["", "&diet=", "&travel_minutes=&cupcakes=", "&tiers-0-width_cm="])
def test_the_part_tells_the_one_address_of_its_brief_without_a_detour(browser: FlaskClient, more: str) -> None:
    canonical = browser.get(GARDEN + more).location or GARDEN + more
    assert f'data-address="{canonical.replace("&", "&amp;")}"' in part_of(browser, GARDEN + more)


@pytest.mark.parametrize("address", [GARDEN, WRONG, GARDEN + "&cupcakes="])
def test_no_cache_gives_a_part_for_a_page(browser: FlaskClient, address: str) -> None:
    for headers in (PART, {}):
        assert {"X-Fragment", "Cookie"} <= set(browser.get(address, headers=headers).vary)
    assert browser.get(address, headers=PART).cache_control.no_store
    assert not browser.get(address).cache_control.no_store


def test_the_part_carries_the_policy_of_every_answer(browser: FlaskClient) -> None:
    part, page = browser.get(GARDEN, headers=PART), browser.get(GARDEN)
    assert part.headers["Content-Security-Policy"] == page.headers["Content-Security-Policy"]


def test_a_refused_brief_gives_the_pages_own_messages_for_each_field(browser: FlaskClient, client: PageClient) -> None:
    part, page = part_of(browser, WRONG, 422), client.get(WRONG, 422).html
    links = [line.strip() for line in part.splitlines() if "<li><a" in line]
    notes = re.findall('<p class="error".*?</p>', part)
    assert len(links) == len(notes) == 2
    assert all(line in page for line in (*links, *notes))
    assert "autofocus" not in part and 'role="alert"' not in part
    assert "autofocus" in page and 'role="alert"' in page


@pytest.mark.parametrize("address", ["/", GARDEN, WRONG])
def test_every_page_with_the_brief_has_what_the_script_needs(client: PageClient, address: str) -> None:
    page = client.get(address, 422 if address == WRONG else 200)
    assert [script.get("src") for script in page.all("script")] == [SCRIPT, "/static/draft.js"]
    for needed in ("brief", "advice", "verdict-bar", "follow-said", "follow-note"):
        page.by_id(needed)
    assert page.text(page.all("title")[0]) == page.by_id("advice").get("data-title")


@pytest.mark.parametrize(
    ("address", "is_asked"), [("/", False), ("/?equipment=thermometer", False), ("/?air_high_c=31", True)]
)
def test_only_a_brief_with_something_in_it_is_asked_about_at_once(
    client: PageClient, address: str, is_asked: bool
) -> None:
    assert (client.get(address).by_id("advice").get("data-ask") is not None) == is_asked


def test_every_fold_of_the_advice_has_a_name_to_be_found_by(client: PageClient) -> None:
    folds = [fold for fold in client.get(GARDEN).by_id("advice").iter("details")]
    assert len(folds) > 3
    assert all(fold.get("id") for fold in folds)


def test_the_first_page_and_the_script_stay_light(app: Flask) -> None:
    weights = {}
    for address in ("/", STYLE, SCRIPT, MARK):
        with app.test_client().get(address) as response:
            weights[address] = len(response.data)
    assert weights[SCRIPT] < MOST_OF_THE_SCRIPT
    assert sum(weights.values()) < MOST_OF_THE_FIRST_PAGE, weights
