"""A vegan wedding and an egg-allergic child's party: from the substitutes to the advice and to the card on the box."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import violations_in_each_view
from tests.browser.conftest import Reader, Visitor
from tests.browser.sizes import NARROWEST, OPEN_ALL, PHONE, overflow_px
from tests.browser.test_walk import asked

pytestmark = pytest.mark.browser

WEDDING = (
    "setting=shade&air_high_c=27&hold_hours=3&travel_minutes=45&tiers-0-width_cm=30&tiers-1-width_cm=22"
    "&tiers-2-width_cm=15&supported=true&sweetness=2&diet=vegan&diet=soy-free"
)
PARTY = "setting=indoors&air_high_c=21&hold_hours=2&cupcakes=24&sweetness=4&colour=deep&diet=egg-free"


def query(page: Page) -> str:
    return urlsplit(page.url).query


def formula_rows(page: Page) -> str:
    """Unfold everything that was compared, after a phone has folded it."""
    page.wait_for_load_state()
    page.evaluate(OPEN_ALL)
    return page.get_by_role("article").inner_text()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_vegan_wedding_from_swiss_with_butter_to_the_card(visitor: Visitor, scripts: bool) -> None:
    page = visitor.open(f"/substitutes?{WEDDING}", PHONE, scripts)
    expect(page.get_by_label("Anything from animals (vegan)")).to_be_checked()
    page.get_by_label("Which buttercream?").select_option("Swiss, all butter")
    page.get_by_role("button", name="Find substitutes").click()
    expect(page.get_by_text("What has to go:")).to_be_visible()
    expect(page.get_by_text("Egg white from shell eggs: anything from animals")).to_be_visible()
    swap = page.get_by_role("region", name=re.compile("aquafaba in place of egg white and palm", re.IGNORECASE))
    expect(swap).to_contain_text("Stands more heat")
    expect(swap).to_contain_text("takes away egg, milk")
    swap.get_by_role("link", name="See it at this event").click()
    expect(page.get_by_role("article")).to_be_visible()
    brief = asked(page)
    assert (brief.air_high_c, [*brief.diet]) == (27, ["soy-free", "vegan"])
    (own,) = brief.own_formulas
    if scripts:
        assert own.name in formula_rows(page)
    page.goto(f"/label?coat=own-1&filling=own-1&{query(page)}")
    page.get_by_label("Your sponge, one ingredient a line").fill(
        "wheat flour\nsugar\nsoy-free plant milk\nrapeseed oil"
    )
    page.get_by_role("group", name="Allergens in your sponge").get_by_label("Wheat").check()
    page.get_by_role("button", name="Make the card").click()
    card = page.get_by_role("region", name="Cake with buttercream")
    expect(card).to_contain_text("Contains: Wheat.")
    expect(card).to_contain_text("palm shortening without soy [palm oil]")
    expect(card).not_to_contain_text(re.compile("milk-fat|egg", re.IGNORECASE))


def test_an_egg_allergic_childs_party_from_the_advice_to_the_card(visitor: Visitor) -> None:
    page = visitor.open(f"/advice?{PARTY}")
    expect(page.get_by_role("article").locator("header")).to_contain_text("Holds")
    page.goto(f"/substitutes?formulation=italian-butter&avoid=egg-free&{query(page)}")
    swap = page.get_by_role("region", name="Aquafaba in place of egg white", exact=True)
    expect(swap).to_contain_text("150 g aquafaba in place of 150 g egg white")
    expect(swap).to_contain_text("takes away egg; brings none in")
    expect(page.get_by_text("chickpea is a legume")).to_be_visible()
    swap.get_by_role("link", name="See it at this event").click()
    expect(page.get_by_role("article")).to_be_visible()
    brief = asked(page)
    assert (brief.cupcakes, [*brief.diet]) == (24, ["egg-free"])
    assert brief.own_formulas[0].name == "Italian with aquafaba"
    assert "Italian with aquafaba" in formula_rows(page)
    page.goto(f"/label?coat=own-1&law=eu&{query(page)}")
    expect(page.get_by_role("region", name="Buttercream only")).to_contain_text("Sponge not declared")
    page.get_by_label("Your sponge, one ingredient a line").fill("sugar\nrice flour\nsunflower oil")
    page.get_by_role("button", name="Make the card").click()
    card = page.get_by_role("region", name="Cake with buttercream")
    expect(card.locator("strong", has_text="Milk").first).to_be_visible()
    expect(card.locator("strong", has_text="Eggs")).to_have_count(0)
    expect(card).to_contain_text("In 100 g")


def test_french_without_yolks_leads_to_another_family(visitor: Visitor) -> None:
    page = visitor.open("/substitutes?formulation=french-butter&avoid=egg-free")
    expect(page.get_by_text("No faithful or workable swap is known.")).to_be_visible()
    page.get_by_role("link", name="The nearest that is free of it").click()
    expect(page.get_by_role("heading", name="The nearest that is free of it")).to_be_in_viewport()
    page.get_by_role("link", name="Get the advice with it").first.click()
    expect(page.get_by_role("article")).to_be_visible()
    assert [*asked(page).diet] == ["egg-free"]


STATES = {
    "swaps": "/substitutes?formulation=american-half-shortening&avoid=vegan&avoid=soy-free",
    "no swap": f"/substitutes?formulation=french-butter&avoid=egg-free&{PARTY}",
    "card": "/label?coat=american-plant&filling=swiss-butter&law=eu&sponge_list=flour%0Aeggs&sponge_allergens=gluten",
}


@pytest.mark.parametrize("state", STATES)
def test_axe_finds_nothing_and_nothing_leaves_the_page_sideways(reader: Reader, state: str) -> None:
    page = reader.read(STATES[state], NARROWEST)
    assert overflow_px(page) <= 0
    assert violations_in_each_view(page) == ""


def test_the_card_prints_alone_and_small(reader: Reader) -> None:
    page = reader.read(STATES["card"])
    page.emulate_media(media="print")
    card = page.get_by_role("region", name="Cake with buttercream")
    box = card.bounding_box()
    assert box is not None
    assert box["width"] <= 9 / 2.54 * 96 + 1  # nine centimetres of CSS
    expect(page.get_by_role("button", name="Make the card")).to_be_hidden()
    expect(page.get_by_role("heading", level=1)).to_be_hidden()
