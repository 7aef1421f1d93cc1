"""A decorator's own recipe, typed in cups, from the brief to the advice that it wins; with and without scripts."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Visitor
from tests.browser.sizes import NARROWEST, READERS, Size, overflow_px
from tests.browser.states import STATES
from tests.browser.test_walk import asked, definition

pytestmark = pytest.mark.browser

RECIPE = """For the icing:
3 cups sugar, sifted
1 1/2 cups shortening
¼ cup (½ stick) butter, softened
1-2 Tbsp milk
1 tsp vanilla
a pinch of salt"""


def fill_in_a_hot_afternoon(page: Page) -> None:
    page.get_by_label("Warmest air around the cake").fill("34")
    page.get_by_label("Outdoors, in the shade").check()
    page.get_by_label("Hours on display until it is cut").fill("3")


@pytest.mark.parametrize(("size", "scripts"), READERS.values(), ids=READERS)
def test_a_recipe_in_cups_wins_a_hot_event(visitor: Visitor, size: Size, scripts: bool) -> None:
    page = visitor.open("/", size, scripts, refusal=422)
    fill_in_a_hot_afternoon(page)
    page.get_by_role("button", name="Enter a recipe of your own").click()
    page.get_by_label("What do you call it?").fill("Summer American")
    page.get_by_label("Which family is it?").select_option("American")
    page.get_by_label("The recipe, one ingredient a line").fill(RECIPE)
    page.get_by_role("button", name="Read the recipe").click()
    expect(page.get_by_role("alert").get_by_role("link")).to_have_count(2)
    page.get_by_role("group", name="Which is it: “3 cups sugar, sifted”?").get_by_label("Powdered sugar with").check()
    page.get_by_role("group", name="Which is it: “1 1/2 cups shortening”?").get_by_label("High-ratio").check()
    page.get_by_role("button", name="Read the recipe").click()
    understood = page.get_by_role("region", name="As understood")
    expect(understood.get_by_role("row", name=re.compile("cups sugar"))).to_contain_text("360")
    expect(understood.get_by_role("row", name=re.compile("Tbsp milk"))).to_contain_text("the middle was taken")
    page.get_by_role("link", name="Put it into the brief").click()
    expect(page.get_by_label("Warmest air around the cake")).to_have_value("34")
    expect(page.get_by_text("Summer American is ranked beside ours")).to_be_visible()
    page.get_by_role("button", name="Get the advice").click()
    expect(definition(page, "Outside, the coat")).to_contain_text("Summer American")
    assert [own.name for own in asked(page).own_formulas] == ["Summer American"]
    definition(page, "Outside, the coat").get_by_role("link").click()
    expect(page.get_by_role("heading", name="Summer American, American")).to_be_visible()


def test_a_long_name_fits_the_advice(visitor: Visitor) -> None:
    page = visitor.open(STATES["own-formula-alone"], NARROWEST)
    page.get_by_role("link", name="Put it into a brief").click()
    assert overflow_px(page) <= 0
    page.get_by_label("Warmest air around the cake").fill("34")
    page.get_by_role("button", name="Get the advice").click()
    expect(page.get_by_role("article")).to_be_visible()
    assert overflow_px(page) <= 0
