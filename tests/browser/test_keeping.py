"""A pregnant bride who loves French: from her brief over the advice to what of French remains, and why."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import violations_in_each_view
from tests.browser.conftest import Reader, Visitor
from tests.browser.sizes import DESKTOP, NARROWEST, PHONE, READERS, TABLET, Size, too_narrow

pytestmark = pytest.mark.browser

BRIDE = "air_high_c=20&setting=indoors&hold_hours=1&sweetness=1&diet=no-undercooked-egg"
UNDERCOOKED = "not shown to be pasteurised"


def remaining(page: Page, title: str) -> str:
    """Read one of the lists for guests at risk, once all of it is there."""
    page.wait_for_load_state()
    heading = page.get_by_role("heading", name=title, exact=True)
    return heading.locator("xpath=following-sibling::dl[1]").inner_text().replace("\xa0", " ")


def carried_address(page: Page) -> str:
    """Take the brief of the advice along to its page on egg and keeping."""
    return "/keeping?" + page.url.partition("?")[2]


@pytest.mark.parametrize(("size", "scripts"), READERS.values(), ids=READERS)
def test_a_pregnant_bride_who_loves_french_finds_which_french_remains(
    visitor: Visitor, size: Size, scripts: bool
) -> None:
    page = visitor.open(f"/?{BRIDE}", size, scripts)
    page.get_by_role("button", name="Get the advice").click()
    expect(page.get_by_role("article")).to_be_visible()
    assert "diet=no-undercooked-egg" in page.url
    barred = page.get_by_role("article").locator("li").filter(has_text="French, all butter").first
    assert "is heated only by the hot syrup" in (barred.text_content() or "").replace("\xa0", " ")

    page.goto(carried_address(page))
    expect(page.get_by_role("heading", level=1)).to_have_text("Egg and keeping")
    page.get_by_label("Buttercream outside").select_option("French, all butter")
    page.get_by_label("Buttercream between the layers").select_option("The same as outside")
    page.get_by_role("button", name="Show egg and keeping").click()
    expect(page).to_have_url(re.compile("coat=french-butter.*"))
    assert "diet=no-undercooked-egg" in page.url

    at_risk = page.locator("#at-risk")
    expect(at_risk).to_contain_text(
        "French, all butter is not for them; of its family there is French, pasteurised yolks and butter."
    )
    remains, does_not = remaining(page, "No raw or undercooked egg"), remaining(page, "Egg that counts as undercooked")
    assert "French, pasteurised yolks and butter\nIts yolks are bought pasteurised." in remains
    assert "French, all butter\n" in does_not
    assert UNDERCOOKED in does_not
    assert "American, all butter\nThere is no egg in it." in remains
    own = page.locator("#french-butter")
    expect(own).to_contain_text(re.compile(r"likely reaches 6\d\s°C \(5\d to 6\d\s°C\)"))
    expect(page.get_by_role("heading", name="Out of the fridge at this event")).to_be_visible()

    at_risk.get_by_role("link", name="French, pasteurised yolks and butter").click()
    expect(page).to_have_url(re.compile("/families/french#french-pasteurised-yolks$"))
    page.locator("#french-pasteurised-yolks").get_by_role("link", name="Egg and keeping").click()
    expect(page.locator("#at-risk")).to_contain_text("What you chose stands in the first list.")


def test_axe_finds_nothing_on_the_brides_page(reader: Reader) -> None:
    page = reader.read(f"/keeping?coat=french-butter&{BRIDE}")
    assert violations_in_each_view(page) == ""


def test_nothing_runs_off_the_side(reader: Reader) -> None:
    page = reader.read("/keeping?coat=american-butter&filling=french-butter&air_high_c=28&setting=shade", NARROWEST)
    assert too_narrow(page, (NARROWEST, PHONE, TABLET, DESKTOP)) == []


def test_on_paper_the_form_is_gone_and_the_rules_stay(reader: Reader) -> None:
    page = reader.read("/keeping?coat=italian-butter")
    page.emulate_media(media="print")
    expect(page.locator("form#keeping")).to_be_hidden()
    expect(page.get_by_text("Kansas State on sugar by weight", exact=True)).to_be_visible()
