from __future__ import annotations

import re
from xml.etree.ElementTree import Element

import pytest
from flask import Flask

from tests.days import MIDSUMMER
from tests.pages.conftest import Linked, reader_of
from tests.pages.page import Page, PageClient
from webapp import create_app
from webapp.config import Config
from webapp.pages.formatters import own_degrees_first
from webapp.units import METRIC

UNREAD, NO_SOURCE = ("common-practice", "assumption", "from-memory"), "common practice, no source"
EVENT = "setting=indoors&air_high_c=21&hold_hours=1&travel_minutes=30&start=15%3A00"


@pytest.fixture(scope="module")
def product() -> Flask:
    return create_app(Config())


@pytest.fixture
def reader(product: Flask, linked: Linked) -> PageClient:
    return reader_of(product, linked)


def metric(sentence: str) -> str:
    """A rule as a reader of metric units has it: of two scales, °C first."""
    return own_degrees_first(sentence, METRIC)


def plain(page: Page, element: Element | None = None) -> str:
    return page.text(element).replace("\xa0", " ")


def our_words(page: Page) -> str:
    """The page's text without the titles of the sources that it cites."""
    main = page.by_id("main")
    for parent in main.iter():
        for child in [child for child in parent if child.tag == "cite"]:
            child.text, child[:] = "", []
    return plain(page, main)


def test_the_empty_page_says_that_local_codes_come_first_and_who_is_at_risk(reader: PageClient) -> None:
    page = reader.get("/keeping")
    first = plain(page, page.by_id("local-first"))
    assert "Local food codes, licensed practice and your own test batch come first" in first
    assert "No raw or undercooked egg" in plain(page, page.by_id("at-risk"))
    assert "once there is a brief" in plain(page, page.by_id("carried"))


def test_each_formula_has_its_page_and_none_calls_it_safe(product: Flask, reader: PageClient) -> None:
    # Seen to fail with "so they are safe" put into the sentences on pasteurised egg.
    for id_, formulation in product.extensions["catalogue"].formulations.items():
        page = reader.get(f"/keeping?coat={id_}")
        assert formulation.name in plain(page, page.by_id(id_))
        assert not re.search(r"\bsafe(r|st|ly)?\b", our_words(page).lower()), id_


def test_each_family_page_leads_to_the_egg_and_keeping_of_its_formulas(product: Flask, reader: PageClient) -> None:
    for formulation in product.extensions["catalogue"].formulations.values():
        page = reader.get(f"/families/{formulation.family.id}")
        assert f"/keeping?coat={formulation.id}" in {link.get("href") for link in page.all("a")}


def test_every_rule_and_caution_is_followed_by_its_source(product: Flask, reader: PageClient) -> None:
    page = reader.get(f"/keeping?coat=italian-butter&filling=american-butter&{EVENT}")
    catalogue = product.extensions["catalogue"]
    sentences = {metric(rule.sentence).replace("\xa0", " "): rule for rule in catalogue.rules.values()}
    found = 0
    for element in page.by_id("main").iter():
        if element.tag in ("li", "p"):
            text = plain(page, element)
            for sentence, rule in sentences.items():
                if text.startswith(sentence):
                    cited = {link.get("href") for link in element.iter("a")}
                    is_read = rule.source not in UNREAD
                    assert f"/sources#source-{rule.source}" in cited or (not is_read and NO_SOURCE in text), sentence
                    found += 1
    assert found > 20


def test_a_pairing_shows_both_halves_and_the_stricter(reader: PageClient) -> None:
    page = reader.get("/keeping?coat=american-butter&filling=french-butter")
    assert "American, all butter" in plain(page, page.by_id("american-butter"))
    assert "not shown to be pasteurised" in plain(page, page.by_id("french-butter"))
    assert "Both buttercreams ask for the same." in plain(page)
    assert "3 days (commonly 4, from 3 to 7)" in plain(page)
    # Seen to fail: "2 months (1 to 3)" above "Go by the low end".
    assert "1 month (commonly 2, from 1 to 3)" in plain(page)


def test_each_rule_stands_under_its_name_and_rules_that_do_not_agree_in_a_list(reader: PageClient) -> None:
    page = reader.get("/keeping?coat=american-butter")
    card = page.by_id("american-butter")
    titles = [plain(page, each) for each in card.iter("h4")]
    assert "Iowa State on water activity and egg" in titles and len(titles) == 5
    text = plain(page, card)
    assert "Cannot be told, so it is kept cold. Its water phase" in text
    assert "at every value in these ranges it may stand at room temperature" in text
    listed = [plain(page, each) for each in card.iter("li")]
    assert "Food Code, table B: would let it stand out" in listed


def test_no_apostrophe_of_ours_is_a_straight_one(product: Flask, reader: PageClient) -> None:
    # Seen to fail with "a buttercream's foam" in the data.
    for id_ in product.extensions["catalogue"].formulations:
        assert "'" not in our_words(reader.get(f"/keeping?coat={id_}&{EVENT}")), id_


def test_hours_out_are_counted_from_the_brief_with_the_set_up(reader: PageClient) -> None:
    page = reader.get(f"/keeping?coat=swiss-butter&setup_minutes=45&{EVENT}")
    text = plain(page)
    assert "Leaves the kitchen: on the road 13:45 14:15 30 min" in text
    assert "Together 13:45 16:00 2 h 15 min" in text
    assert "Rule for homes: shorter than the hours counted above" in text
    assert page.value("setup_minutes") == "45"
    assert "/advice?" in {link.get("href", "")[:8] for link in page.by_id("carried").iter("a")}


def test_without_a_choice_the_advised_pairing_is_shown(reader: PageClient) -> None:
    page = reader.get(f"/keeping?{EVENT}")
    form = dict(page.form_pairs("keeping"))
    assert form["coat"] and form["filling"]
    assert form["hold_hours"] == "1"
    assert page.by_id(form["coat"]) is not None


def test_the_brief_bars_what_its_diet_bars_and_says_why(reader: PageClient) -> None:
    page = reader.get(f"/keeping?coat=american-shortening&{EVENT}&diet=dairy-free")
    told = plain(page, page.by_id("at-risk"))
    fit, undercooked, barred = re.split("Egg that counts as undercooked|Ruled out by the brief", told)
    assert "American, all high-ratio shortening" in fit
    assert "American, all butter" not in undercooked  # it has no egg
    assert "American, all butter Has unsalted butter and whole milk; the brief asks for no dairy." in barred


def test_what_is_wrong_is_named_with_what_fits_and_what_was_typed_stays(reader: PageClient) -> None:
    page = reader.get("/keeping?coat=fudge&setup_minutes=soon&air_high_c=hot", status=422)
    problems = plain(page, page.by_id("problems"))
    assert "Choose the buttercream outside from the list." in problems
    assert "Enter the set-up as a number from 0 to 360 min, or leave it empty." in problems
    assert "Enter the warmest air as a number from −10 to 50 °C." in problems
    # In the order of the form; seen to fail with the brief that came along before the fields above it.
    links = [each.get("href") for each in page.by_id("problems").iter("a")]
    assert links == ["#coat", "#setup_minutes", "#carried"]
    assert page.value("setup_minutes") == "soon"
    assert page.value("air_high_c") == "hot"


@pytest.mark.parametrize(
    ("text", "status"), [("0", 200), ("360", 200), ("361", 422), ("-1", 422), ("nan", 422), ("", 200)]
)
def test_set_up_is_taken_from_nothing_to_six_hours(reader: PageClient, text: str, status: int) -> None:
    reader.get(f"/keeping?coat=swiss-butter&setup_minutes={text}&{EVENT}", status=status)


def test_a_caution_that_has_its_own_section_is_not_said_again(product: Flask, reader: PageClient) -> None:
    text = plain(reader.get(f"/keeping?coat=french-butter&{EVENT}"))
    rules = product.extensions["catalogue"].rules
    for id_ in ("planning-help", "at-risk-guests", "time-out", "allergens"):
        assert text.count(metric(rules[id_].sentence)) == 1, id_


def test_us_readers_have_fahrenheit(product: Flask, us_linked: Linked) -> None:
    text = plain(reader_of(product, us_linked, "us").get("/keeping?coat=italian-butter"))
    assert "143 °F (129 to 152 °F)" in text
    # Seen to fail: cautions with °C first, and what stands beside their sources in °C alone.
    assert "°C" not in re.sub(r"\d °F \(\d+ °C\)|°F \([\d to]+ °C\)", "", text)
    assert "160 °F" in text


def test_an_own_formula_of_the_brief_can_be_chosen(reader: PageClient) -> None:
    lines = "500+g+powdered+sugar%0A200+g+butter"
    own = f"own_formulas-0-name=Mine&own_formulas-0-family=american&own_formulas-0-lines={lines}"
    page = reader.get(f"/keeping?coat=own-1&{EVENT}&{own}")
    assert "Mine" in plain(page, page.by_id("own-1"))
    assert "69.9 %" in plain(page, page.by_id("own-1"))


def test_what_the_diet_of_the_brief_bars_is_said(reader: PageClient) -> None:
    text = plain(reader.get(f"/keeping?{EVENT}&diet=vegan&coat=american-plant&filling=french-butter"))
    assert "Not for this brief" in text
    assert "French, all butter: Has" in text and "nothing from animals" in text
    assert "Not for this brief" not in plain(reader.get(f"/keeping?{EVENT}&diet=vegan&coat=american-plant"))


def test_advice_keeping_and_plan_tell_one_clock(reader: PageClient) -> None:
    event = f"{EVENT}&tiers-0-width_cm=20&date={MIDSUMMER}"
    advice, keeping = (plain(reader.get(f"{path}?{event}", follow=True)) for path in ("/advice", "/keeping"))
    for said in (
        "You ask for 1 h 30 min out of the fridge, counted from leaving the kitchen; the rule for homes is 2 h.",
        "Boxing and setting up add to these hours and end the time sooner: the kitchen plan counts all, from",
    ):
        assert said in advice
        assert said in keeping
    page = reader.get(f"/keeping?{event}")
    (to_plan,) = (href for link in page.all("a") if (href := link.get("href") or "").startswith("/plan?"))
    address, _, anchor = to_plan.partition("#")
    plan = reader.get(address)
    assert plan.by_id(anchor) is not None
    told = plain(plan)
    assert "The 2 h rule for homes is over at" in told
    assert "The advice counts 1 h 30 min of it, drive and display alone" in told
