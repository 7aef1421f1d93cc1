"""A tasting, kept: compared, chosen, reopened; two browsers over one consultation; a tab that is closed half-way."""

from __future__ import annotations

import re
import time

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import violations_in_each_view
from tests.browser.conftest import PATIENCE_MS, Visitor
from tests.browser.sizes import DESKTOP, NARROWEST, PHONE, READERS, Size, resize, too_narrow
from tests.browser.states import GARDEN
from tests.browser.test_walk import fill_in_the_garden_wedding

pytestmark = pytest.mark.browser


def keep(page: Page, client: str, event: str = "Wedding in the garden") -> str:
    """Keep the advice in sight; give the address of what is kept."""
    page.get_by_role("link", name="Keep this").click()
    page.wait_for_load_state()  # the script knows of which draft this is
    page.get_by_label("Client", exact=True).fill(client)
    page.get_by_label("Event", exact=True).fill(event)
    page.get_by_label("Day of the event").fill("2027-06-26")
    page.get_by_role("button", name="Keep this").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(event)
    return page.url.partition("?")[0]


def row(page: Page, client: str) -> str:
    page.wait_for_load_state()
    return page.get_by_role("row").filter(has_text=client).inner_text()


@pytest.mark.parametrize(("size", "scripts"), READERS.values(), ids=READERS)
def test_a_tasting_from_the_brief_to_the_choice_and_back(visitor: Visitor, size: Size, scripts: bool) -> None:
    client = f"Ada {size[0]} {scripts}"
    page = visitor.open("/", size, scripts)
    fill_in_the_garden_wedding(page)
    page.get_by_role("button", name="Get the advice").click()
    advised = page.get_by_role("heading", level=1).inner_text()
    keep(page, client)

    choice = page.get_by_role("region", name="The client’s choice")
    ticks = choice.get_by_role("checkbox")
    ticks.nth(0).check()
    ticks.nth(1).check()
    choice.get_by_role("button", name="Compare those ticked").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Side by side")
    table = page.get_by_role("table")
    for name in ("Keeps its look", "Chance that the coat holds", "Sweetness", "Cost of the ingredients", "Allergens"):
        expect(table.get_by_role("rowheader", name=name)).to_be_visible()
    table.get_by_role("button", name="Choose this").nth(1).click()
    expect(page.get_by_role("status")).to_have_text("The choice is kept.")
    chosen = choice.get_by_role("strong").inner_text()

    page.get_by_role("navigation", name="Main").get_by_role("link", name="Consultations").click()
    page.get_by_label("Client or event").fill(f"ada {size[0]} {scripts}".lower())
    page.get_by_role("button", name="Search").click()
    assert chosen in row(page, client)
    page.get_by_role("table").get_by_role("link", name="Wedding in the garden").click()
    expect(choice.get_by_role("strong")).to_have_text(chosen)
    expect(page.get_by_role("region", name="What was advised")).to_contain_text(advised.split(" ")[0])
    expect(page.get_by_text("are still the same")).to_be_visible()


def test_two_browsers_edit_one_consultation_and_the_second_loses_nothing(visitor: Visitor) -> None:
    first = visitor.open(f"/advice?{GARDEN}")
    address = keep(first, "Bea")
    second = visitor.open(f"{address}/brief", scripts=False, refusal=409)
    first.get_by_role("link", name="Change the brief").click()
    first.get_by_label("Warmest air around the cake").fill("29")
    first.get_by_role("button", name="Save with new advice").click()
    expect(first.get_by_role("status")).to_have_text("Saved.")

    second.get_by_label("Hours on display until it is cut").fill("5")
    second.get_by_role("button", name="Add a tier on top").click()
    second.wait_for_load_state()
    second.get_by_role("group", name="Tier 4", exact=True).get_by_label("Width").fill("12")
    second.get_by_role("button", name="Save with new advice").click()
    expect(second.get_by_role("heading", level=1)).to_have_text("Changed elsewhere since you opened it")
    differ = second.get_by_role("region", name="Where the two differ")
    warmest = differ.get_by_role("row").filter(has_text="The warmest air")
    expect(warmest).to_contain_text(re.compile("31.°C.*29.°C", re.DOTALL))
    expect(differ.get_by_role("row").filter(has_text="The hours on display")).to_contain_text("5")
    first.reload()
    expect(first.get_by_role("region", name="What was advised")).to_contain_text(re.compile("29.°C at the warmest"))

    second.go_back()  # the tab is closed here; what was typed is found again
    second.goto(address)
    second.get_by_role("region", name="A draft").get_by_role("link", name="Go on with it").click()
    expect(second.get_by_label("Hours on display until it is cut")).to_have_value("5")
    second.get_by_role("button", name="Save with new advice").click()
    expect(second.get_by_role("heading", level=1)).to_have_text("Changed elsewhere since you opened it")
    second.get_by_role("button", name="Keep mine as another consultation").click()
    expect(second.get_by_role("status")).to_have_text("Kept.")
    assert second.url.partition("?")[0] != address
    advised = second.get_by_role("region", name="What was advised")
    expect(advised).to_contain_text(re.compile("4.tiers.*31.°C at the warmest, 5.h on display", re.DOTALL))


def test_a_half_filled_brief_survives_a_closed_tab(visitor: Visitor) -> None:
    page = visitor.open("/")
    page.get_by_label("Warmest air around the cake").fill("33")
    page.get_by_label("In a tent or marquee").check()
    page.get_by_label("Hours on display until it is cut").fill("4")
    context = page.context
    page.close(run_before_unload=False)
    again = context.new_page()
    # The last keystroke may still be on its way when the tab is gone.
    end = time.monotonic() + PATIENCE_MS / 1000
    again.goto("/consultations")
    while not again.get_by_role("link", name=re.compile("33.°C at the warmest")).count():
        assert time.monotonic() < end, "the draft was not kept"
        again.reload()
    again.goto("/")
    again.get_by_role("link", name=re.compile("33.°C at the warmest")).first.click()
    expect(again.get_by_label("Warmest air around the cake")).to_have_value("33")
    expect(again.get_by_label("In a tent or marquee")).to_be_checked()
    expect(again.get_by_label("Hours on display until it is cut")).to_have_value("4")
    again.wait_for_load_state()
    again.get_by_role("button", name="Get the advice").click()
    keep(again, "Cleo")
    again.goto("/consultations")
    expect(again.get_by_role("link", name=re.compile("33.°C at the warmest"))).to_have_count(0)


def test_the_pages_of_what_is_kept_fit_every_reader(visitor: Visitor) -> None:
    page = visitor.open(f"/advice?{GARDEN}", refusal=422)
    address = keep(page, "A client with a rather long name, and a hyphenated-one-without-any-break-in-it")
    page.wait_for_load_state()
    names = page.locator('input[name="of"]').evaluate_all("boxes => boxes.slice(0, 4).map(box => box.value)")
    assert len(names) == 4
    pages = [address, f"{address}?anew=1", f"{address}/brief", "/consultations", "/consultations?show=deleted"]
    pages += ["/compare?" + "&".join(f"of={name}" for name in names), "/compare", f"/consultations/new?{GARDEN}"]
    for one in pages:
        resize(page, NARROWEST)
        page.goto(one)
        assert too_narrow(page, (NARROWEST, PHONE, DESKTOP)) == []
        assert violations_in_each_view(page) == ""
