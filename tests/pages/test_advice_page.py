from __future__ import annotations

import json
from urllib.parse import parse_qsl, urlsplit

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.pages.page import Page, PageClient
from tests.strategies import briefs
from webapp.advice.brief import Brief, read_brief
from webapp.advice.contract import LeverOut
from webapp.pages.advice_page import lever_address, relaxation_address
from webapp.pages.brief_address import address_of, brief_of
from webapp.pages.examples import EXAMPLES, Example

GARDEN = "/advice?setting=shade&air_high_c=31&hold_hours=3"


def test_an_empty_form_asks_for_a_brief(client: PageClient) -> None:
    page = client.get("/")
    assert page.value("air_high_c") == ""
    assert page.value("tiers-0-width_cm") == ""


def test_an_empty_form_gives_advice_in_which_all_is_assumed_but_the_boxes(
    client: PageClient, browser: FlaskClient
) -> None:
    pairs = client.get("/").form_pairs()
    response = browser.get("/advice", query_string=pairs)
    assert response.status_code == 303
    assert response.location == "/advice?diet=&equipment=stand-mixer&equipment=thermometer"


def test_the_first_page_offers_three_briefs_to_try_and_a_blank_one(client: PageClient) -> None:
    page = client.get("/")
    cards = [item.find(".//a") for item in page.all("li") if item.get("class") == "card"]
    assert [card.get("href") for card in cards if card is not None] == [
        *(example.address for example in EXAMPLES),
        "#brief",
    ]
    assert "in the shade at 31 °C" in page.text().replace("\xa0", " ")


def test_a_brief_that_was_begun_is_offered_nothing_else_to_try(client: PageClient) -> None:
    assert "garden wedding" not in client.get("/?setting=shade").text()


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.title)
def test_an_example_is_asked_at_the_address_that_its_form_asks_at(
    client: PageClient, browser: FlaskClient, example: Example
) -> None:
    assert browser.get(example.address).status_code == 200
    sent = browser.get("/advice", query_string=client.get(address_of(example.brief, "/")).form_pairs())
    assert brief_at(sent.location).model_dump() == example.brief.model_dump()


def text_of(element: object) -> str:
    return " ".join("".join(element.itertext()).split())  # type: ignore[attr-defined]


def brief_at(address: str) -> Brief:
    return brief_of(parse_qsl(urlsplit(address).query, keep_blank_values=True))


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(brief=briefs(), units=st.sampled_from(["metric", "us", "uk"]))
def test_a_brief_survives_the_form_in_any_habit_of_units(browser: FlaskClient, brief: Brief, units: str) -> None:
    browser.set_cookie("units", units, domain="localhost")
    form = Page(browser.get(address_of(brief, "/")))
    sent = browser.get("/advice", query_string=form.form_pairs())
    back = Page(browser.get(sent.location.replace("/advice", "/") if sent.location else "/"))
    assert sent.status_code in (200, 303)
    assert [pair for pair in back.form_pairs()] == [pair for pair in form.form_pairs()]
    browser.set_cookie("units", "metric", domain="localhost")
    metric = Page(browser.get(address_of(brief, "/"))).form_pairs()
    again = Page(browser.get(sent.location.replace("/advice", "/"))).form_pairs()
    assert again == metric


def test_us_numbers_lead_to_the_metric_address(us_client: PageClient) -> None:
    page = us_client.get("/?setting=shade")
    assert page.value("air_high_f") == ""
    response = us_client.client.get("/advice?air_high_f=88&tiers-0-width_in=10&coat_in=0.25&setting=shade")
    assert response.status_code == 303
    assert response.location == "/advice?setting=shade&air_high_c=31.11&tiers-0-width_cm=25.4&coat_mm=6.35"
    shown = us_client.get(response.location.replace("/advice", "/"))
    assert shown.value("air_high_f") == "88"
    assert shown.value("tiers-0-width_in") == "10"
    assert shown.value("coat_in") == "0.25"


def test_switching_units_keeps_what_is_typed_but_not_yet_sent(client: PageClient) -> None:
    page = client.get("/?air_high_c=31&tiers-0-width_cm=20&units=us")
    assert page.value("air_high_f") == "87.8"
    assert page.value("tiers-0-width_in") == "7.874"
    back = client.get("/?air_high_f=87.8&tiers-0-width_in=7.874&units=metric")
    assert (back.value("air_high_c"), back.value("tiers-0-width_cm")) == ("31", "20")


def test_the_switch_shows_which_of_the_three_habits_is_remembered(client: PageClient) -> None:
    client.client.post("/units", data={"units": "uk", "back": "/words"})
    page = client.get("/families")
    pressed = {b.get("value"): b.get("aria-pressed") for b in page.all("button") if b.get("name") == "units"}
    assert pressed == {"metric": "false", "us": "false", "uk": "true"}
    assert page.text().count("In US measures") == 0
    form = client.get("/?air_high_c=31&tiers-0-width_cm=20&units=uk")
    assert (form.value("air_high_c"), form.value("tiers-0-width_in")) == ("31", "7.874")


@pytest.mark.parametrize("elsewhere", ["https://example.org/", "//example.org", "/\\example.org", "x\n/"])
def test_the_units_switch_leads_to_our_own_pages_only(browser: FlaskClient, elsewhere: str) -> None:
    response = browser.post("/units", data={"units": "us", "back": elsewhere})
    assert (response.status_code, response.location) == (303, "/")
    assert browser.post("/units", data={"units": "us", "back": GARDEN}).location == GARDEN


def test_tiers_are_added_and_removed_without_a_script(client: PageClient) -> None:
    two = client.get("/?tiers-0-width_cm=30&change=add-tier")
    assert two.value("tiers-0-width_cm") == "30"
    assert two.value("tiers-1-width_cm") == ""
    one = client.get("/?tiers-0-width_cm=30&tiers-1-width_cm=20&change=remove-tier-0")
    assert one.value("tiers-0-width_cm") == "20"
    assert "tiers-1-width_cm" not in dict(one.form_pairs())
    none = client.get("/?tiers-0-width_cm=30&cupcakes=24&change=remove-tier-0")
    assert ("tiers", "") in none.form_pairs()


def test_enter_presses_the_advise_button(client: PageClient) -> None:
    first = next(client.get("/").by_id("brief").iter("button"))
    assert first.get("name") is None and first.get("formaction") is None


def test_a_refused_brief_says_what_to_enter_and_keeps_what_was_typed(client: PageClient) -> None:
    page = client.get("/advice?air_high_c=hot&hold_hours=30&tiers-0-width_cm=20&tiers-1-width_cm=3", 422)
    text = page.text()
    assert "Enter the warmest air as a number from −10 to 50 °C." in text
    assert "Enter the hours on display as a number from 0 to 12." in text
    assert "Enter the width of tier 2 as a number from 8 to 80 cm." in text
    assert page.value("air_high_c") == "hot"
    assert page.by_id("problems").get("role") == "alert"
    links = [a.get("href") for a in page.by_id("problems").iter("a")]
    assert links == ["#air_high_c", "#hold_hours", "#tiers-1-width_cm"]
    assert page.by_id("air_high_c").get("aria-invalid") == "true"
    assert page.by_id("air_high_c").get("aria-describedby") == "air_high_c-hint air_high_c-error"


def test_a_refused_brief_speaks_the_units_of_the_reader(us_client: PageClient) -> None:
    page = us_client.get("/advice?air_high_f=200&air_low_f=20&tiers-0-width_in=1", 422)
    assert "Enter the warmest air as a number from 14 to 122 °F." in page.text()
    assert "Enter the width of tier 1 as a number from 3.15 to 31.49 in." in page.text()
    assert page.value("air_high_f") == "200"
    misfit = us_client.get("/advice?air_high_f=68&air_low_f=77", 422)
    assert "is above the day's high. What fits: at most 68 °F" in misfit.text()


def test_fields_that_do_not_fit_together_are_named(client: PageClient) -> None:
    wider = client.get("/advice?tiers-0-width_cm=20&tiers-1-width_cm=30", 422)
    assert "The width of tier 2: is wider than the tier below it. What fits: at most 20 cm" in wider.text()
    half = client.get("/advice?latitude=45", 422)
    assert "longitude" in half.text(half.by_id("problems"))
    assert 'id="longitude"' in half.html
    nothing = client.get("/advice?tiers=", 422)
    assert [a.get("href") for a in nothing.by_id("problems").iter("a")] == ["#tiers"]


def test_a_group_with_a_problem_is_open(client: PageClient) -> None:
    page = client.get("/advice?importance-heat=9&setting=attic", 422)
    assert "Enter the importance of “standing the heat” as a number from 0 to 5." in page.text()
    group = next(d for d in page.all("details") if any(e.get("id") == "importance-heat" for e in d.iter()))
    assert group.get("open") is not None
    assert "Choose where the cake stands from the list." in page.text()


@pytest.mark.parametrize(
    "query",
    [
        "frosting=x",
        "tiers-0-flavour=x",
        "importance-luck=3",
        "diet=none",
        "air_high_c=20&air_high_f=68",
        "tiers=x&tiers-0-width_cm=x",
        "importance=x&importance-heat=1",
        "start=noon&date=soon&timezone=Here",
        "supported=perhaps&sweetness=9&layers=2",
        "tiers-0-layers=2.5",
    ],
)
def test_every_refusal_links_to_something_on_the_page(client: PageClient, query: str) -> None:
    page = client.get(f"/advice?{query}", 422)
    assert list(page.by_id("problems").iter("a"))


TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
KEYS = st.sampled_from(
    ["air_high_c", "air_low_f", "tiers", "tiers-0-width_cm", "tiers-7-layers", "importance"]
    + [
        "importance-heat",
        "diet",
        "start",
        "date",
        "supported",
        "cupcakes",
        "timezone",
        "latitude",
        "sweetness",
        "colour",
    ]
)
VALUES = TEXT | st.sampled_from(["1e99", "9" * 400, "-0", "1,5", "NaN", "inf", "٣", "12:00", "true", ""])


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(pairs=st.lists(st.tuples(KEYS | TEXT.filter(bool), VALUES), max_size=6))
def test_whatever_is_typed_gets_an_answer(browser: FlaskClient, pairs: list[tuple[str, str]]) -> None:
    response = browser.get("/advice", query_string=pairs)
    assert response.status_code in (200, 303, 422)
    if response.status_code == 303:
        assert browser.get(response.location).status_code == 200
    assert browser.get("/", query_string=pairs).status_code == 200


def test_the_advice_leads_with_the_verdict_in_words(client: PageClient) -> None:
    page = client.get(GARDEN)
    assert page.text(page.all("h1")[0]) == "American buttercream outside, Swiss between the layers"
    text = page.text()
    parts = [
        "Holds",
        "What to use",
        "Outside, the coat",
        "Cut at 18:00",
        "Hotter than forecast",
        "clearly the best choice",
    ]
    parts += ["Part by part", "The coat over the event", "Why", "On taste and looks alone"]
    parts += ["What would change", "Food safety: another clock", "Ruled out"]
    parts += ["Everything that was compared", "What was assumed"]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    numbers = ["3 h 40 min", "3 h 5 min to 4 h 35 min", "93 %", "94 %", "68 %"]
    for said in ("Cut at 18:00 as planned", "Pipe a dam of the coat", *numbers):
        assert said in text
    assert "Planning help. Local food codes and licensed practice come first" in text


def test_when_no_coat_holds_the_page_first_says_what_would_change_it(client: PageClient) -> None:
    text = client.get("/advice?setting=sun&air_high_c=37&hold_hours=5&colour=deep").text()
    said = ["No coat holds", "What would change", "The best of those that fail"]
    assert sorted(said, key=text.index) == said


def test_when_nothing_fits_the_page_says_why_and_what_to_give_up(client: PageClient) -> None:
    text = client.get("/advice?diet=coconut-free&diet=soy-free&diet=vegan").text()
    assert "Without soy-free, one fits." in text
    # Seen to fail: "nothing fits" of a brief whose diet was nowhere on the page.
    assert "on display; free of coconut, soy and anything from animals." in text
    assert "What to use" not in text


def test_the_advice_speaks_the_units_of_the_reader(us_client: PageClient) -> None:
    page = us_client.get(GARDEN)
    assert "88 °F at the warmest" in page.text()
    article = page.text(page.all("article")[0])
    assert "°C" not in article.replace("160 °F (71 °C)", "")


def test_the_picture_has_the_same_numbers_as_a_table(client: PageClient) -> None:
    page = client.get(GARDEN)
    assert any("course.svg" in image.get("src", "") for image in page.all("img"))
    table = next(table for table in page.all("table") if "From arrival" in page.text(table))
    cells = [page.text(cell) for cell in table.iter() if cell.tag in ("th", "td")]
    assert cells[:8] == ["From arrival", "Local time", "Coat", "Air, as given"] + [
        "arrival",
        "15:00",
        "14 °C (13 to 15 °C)",
        "31 °C",
    ]


def test_each_lever_is_an_address_that_asks_for_it(client: PageClient) -> None:
    page = client.get(GARDEN)
    links = [a.get("href", "") for a in page.all("a") if page.text(a).startswith("Try this")]
    assert links == [
        "/advice?setting=shade&air_high_c=31&hold_hours=3&start=17:30".replace(":", "%3A"),
        "/advice?setting=shade&air_high_c=31&hold_hours=3&start_c=1",
    ]


REST_OF_TIER = "tiers-0-height_cm=12&tiers-0-layers=3"


@pytest.mark.parametrize(
    ("lever", "to", "address"),
    [
        ("tiers.0.width_cm", 30.0, f"/advice?tiers-0-shape=round&tiers-0-width_cm=30&{REST_OF_TIER}"),
        ("cupcakes", 12.0, "/advice?cupcakes=12"),
        ("tiers", [{"width_cm": 30.0}], f"/advice?tiers-0-shape=round&tiers-0-width_cm=30&{REST_OF_TIER}"),
        ("supported", False, "/advice?supported=false"),
        ("importance.heat", 5.0, "/advice?importance-heat=5"),
        ("air_high_c", 99.0, None),
        ("tiers.4.width_cm", 9.0, None),
    ],
)
def test_a_lever_becomes_an_address_if_it_can_be_asked(lever: str, to: object, address: str | None) -> None:
    pulled = LeverOut.model_validate({"lever": lever, "from": "x", "to": to, "effect": "", "verdict": "holds"})
    assert lever_address(read_brief(json.dumps({})), pulled) == address


def test_a_lever_takes_along_what_must_change_with_it() -> None:
    pulled = LeverOut.model_validate(
        {"lever": "setting", "from": "sun", "to": "indoors", "also": {"air_high_c": 26.0}}
        | {"effect": "", "verdict": "holds"}
    )
    address = lever_address(read_brief('{"setting": "sun", "air_high_c": 37}'), pulled)
    assert address == "/advice?setting=indoors&air_high_c=26"


@pytest.mark.parametrize(
    ("limits", "address"),
    [
        (["vegan"], "/advice?air_high_c=24&diet=soy-free&equipment="),
        (["vegan", "equipment"], "/advice?air_high_c=24&diet=soy-free"),
        (["too-soft-for-fine-piping"], None),
    ],
)
def test_what_could_be_given_up_becomes_an_address(limits: list[str], address: str | None) -> None:
    brief = read_brief('{"air_high_c": 24, "diet": ["vegan", "soy-free"], "equipment": []}')
    assert relaxation_address(brief, limits) == address
