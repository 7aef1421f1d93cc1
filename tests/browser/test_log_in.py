from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations, violations_in_each_view
from tests.browser.conftest import Visitor
from tests.browser.live import running_shop
from tests.browser.sizes import DESKTOP, PHONE, TABLET, resize, too_narrow

pytestmark = pytest.mark.browser
OWNER, PASSWORD = "Olive", "flour butter sugar"


@pytest.fixture(scope="module")
def shop() -> Iterator[str]:
    with running_shop(OWNER, PASSWORD) as address:
        yield address


@pytest.fixture
def stranger(chromium: Browser, shop: str) -> Iterator[Visitor]:
    visitor = Visitor(chromium, shop)
    yield visitor
    for context in visitor.contexts:
        context.close()
    assert visitor.troubles == []


def enter(page: Page) -> None:
    page.get_by_label("Name").fill(OWNER)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_log_in_leads_to_the_page_that_was_asked_for_and_out_again(stranger: Visitor, scripts: bool) -> None:
    page = stranger.open("/keeping?coat=french-butter&filling=french-butter", scripts=scripts)
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")
    enter(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Egg and keeping")
    assert page.url.endswith("/keeping?coat=french-butter&filling=french-butter")
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")
    page.goto("/accounts")
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")


def test_the_pages_of_the_accounts_suit_every_reader(stranger: Visitor) -> None:
    page = stranger.open("/log-in", PHONE)
    assert violations_in_each_view(page) == ""
    enter(page)
    page.goto("/accounts")
    places = ["/password", "/accounts", page.get_by_role("link", name=OWNER).get_attribute("href") or ""]
    for place in places:
        resize(page, PHONE)
        page.goto(place)
        assert too_narrow(page, (PHONE, TABLET, DESKTOP)) == []
        assert violations_in_each_view(page) == ""


def test_a_form_sent_after_logging_out_elsewhere_is_not_lost(stranger: Visitor) -> None:
    page = stranger.open("/log-in", refusal=401)
    enter(page)
    page.goto("/accounts")
    page.get_by_role("link", name=OWNER).click()
    other = page.context.new_page()
    other.goto("/families")
    other.get_by_role("button", name="Log out").click()
    page.get_by_role("button", name="Change the role").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("You are logged out")
    assert violations(page) == ""
