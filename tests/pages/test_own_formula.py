from __future__ import annotations

import json
from urllib.parse import parse_qsl, urlencode, urlsplit

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.pages.page import Page, PageClient
from webapp import create_app
from webapp.config import Config
from webapp.pages.brief_address import brief_of
from webapp.pages.own_formula import with_own_formula

STURDY = "3 cups powdered sugar\r\n1 1/2 cups high-ratio shortening\r\n1/4 cup butter\r\n2 tbsp milk\r\n1 tsp vanilla"
RECIPE = {"name": "Summer American", "family": "american", "egg_treatment": "none", "lines": STURDY}
HOT = {"setting": "shade", "air_high_f": "93", "hold_hours": "3"}


@pytest.fixture(scope="module")
def real() -> Flask:
    """The product with its real advice: own formulas are refused where the advice is worked out."""
    return create_app(Config())


@pytest.fixture
def visitor(real: Flask) -> PageClient:
    return PageClient(real.test_client())


def asked(**changes: str) -> str:
    return "/own-formula?" + urlencode(RECIPE | changes)


def buttons(page: Page) -> dict[str, str]:
    return {page.text(a): a.get("href", "") for a in page.all("a") if a.get("class") == "button"}


def chosen(page: Page) -> list[tuple[str, str]]:
    """List what the form sends when the first option of every choice is taken."""
    pairs = [(name, text) for name, text in page.form_pairs("own-formula") if name != "lines"]
    seen = {}
    for radio in page.all("input"):
        if radio.get("type") == "radio":
            seen.setdefault(radio.get("name", ""), radio.get("value", ""))
    return [*pairs, ("lines", page.by_id("lines").text or ""), *seen.items()]


def test_the_empty_page_asks_and_complains_of_nothing(visitor: PageClient) -> None:
    page = visitor.get("/own-formula")
    assert "As understood" not in page.text()
    assert "236.6 mL" in page.text()


def test_a_recipe_is_shown_as_understood_with_every_figure(visitor: PageClient) -> None:
    page = visitor.get(asked())
    text = page.text()
    for expected in (
        "1 cup = 120 g",
        "360 g",
        "308 g",
        "Sweetness as sucrose",
        "Water activity",
        "Allergens milk, soy",
    ):
        assert expected in text
    assert "check the label of each product used" in text
    for label in ("Softens", "Slumps", "Density, beaten", "Ingredients of one batch cost"):
        assert label in text


def test_an_ambiguous_line_is_asked_for_and_everything_typed_stays(visitor: PageClient) -> None:
    lines = "4 cups sugar\r\n\r\n1 cup shortening\r\n2 tbsp milk"
    page = visitor.get(asked(lines=lines, **HOT), 422)
    assert (page.by_id("lines").text or "").split("\n")[-4:] == ["4 cups sugar", "", "1 cup shortening", "2 tbsp milk"]
    assert page.value("name") == "Summer American"
    assert page.value("air_high_f") == "93"
    again = visitor.get("/own-formula?" + urlencode(chosen(page)))
    assert "4 cups sugar [powdered sugar with corn starch]" in (again.by_id("lines").text or "")
    assert "Put it into the brief" in buttons(again)


def test_a_choice_made_for_another_line_is_asked_again(visitor: PageClient) -> None:
    page = visitor.get(asked(lines="5 cups sugar", **{"choice-0": "powdered-sugar 4 cups sugar"}), 422)
    assert "Which is it: “5 cups sugar”?" in page.text()


@pytest.mark.parametrize("row", ["9" * 5000, "٣", "²", "-1", "", "99"])
def test_a_choice_for_a_line_that_is_not_there_is_passed_over(visitor: PageClient, row: str) -> None:
    visitor.get(asked(**{f"choice-{row}": "butter 1/4 cup butter"}))


def test_an_unknown_ingredient_is_asked_for_by_its_line(visitor: PageClient) -> None:
    page = visitor.get(asked(lines=STURDY + "\r\n200 g mascarpone\r\n1 cup almond milk"), 422)
    assert "no ingredient called “mascarpone” is known" in page.text()
    assert "Which is it" not in page.text()
    assert buttons(page) == {}


def test_what_may_be_known_under_another_name_is_offered_with_care(visitor: PageClient) -> None:
    page = visitor.get(asked(lines=STURDY + "\r\n1 cup ewe milk"), 422)
    assert "If it is the same as one of those below, choose that; else take the line out." in page.text()
    assert "Choose only where it is the same under another name" in page.text()
    assert "Mend this: No ingredient called “ewe milk” is known." in page.text()
    assert buttons(page) == {}


@pytest.mark.parametrize(
    ("changes", "element"),
    [({"family": "swiss"}, "family"), ({"name": ""}, "name"), ({"lines": ""}, "lines"), ({"family": "x"}, "family")],
)
def test_what_is_wrong_is_linked_to_its_field(visitor: PageClient, changes: dict[str, str], element: str) -> None:
    page = visitor.get(asked(**changes), 422)
    assert f"{element}-error" in {e.get("id") for e in page.root.iter()}


@pytest.mark.parametrize(
    ("changes", "elements"),
    [
        ({"name": "", "lines": "4 cups sugar\r\n200 g mascarpone"}, ["name", "lines", "choice-0"]),
        ({"name": "", "family": "swiss"}, ["name", "family"]),
        ({"name": "", "lines": ""}, ["name", "lines"]),
        ({"family": "x", "lines": "200 g mascarpone"}, ["family", "lines"]),
        ({"name": ""}, ["name"]),
    ],
)
def test_all_that_is_wrong_is_told_at_once(visitor: PageClient, changes: dict[str, str], elements: list[str]) -> None:
    # Seen to fail: without a name nothing was said of the recipe.
    page = visitor.get(asked(**changes), 422)
    assert [link.get("href") for link in page.by_id("problems").iter("a")] == [f"#{each}" for each in elements]
    assert buttons(page) == {}


def test_the_menu_of_families_fits_a_phone_and_the_hint_says_what_each_is(visitor: PageClient) -> None:
    page = visitor.get("/own-formula")
    names = [page.text(option) for option in page.by_id("family").iter("option")]
    assert names == ["American", "Swiss", "Italian", "French"]
    assert "Swiss: whites warmed with the sugar" in page.text(page.by_id("family-hint"))


def test_the_brief_it_is_put_into_keeps_what_was_asked(visitor: PageClient) -> None:
    page = visitor.get(asked(**HOT))
    brief = brief_of(parse_qsl(urlsplit(buttons(page)["Put it into the brief"]).query))
    assert (brief.setting, brief.air_high_c, brief.hold_hours) == ("shade", 33.89, 3)
    assert [own.name for own in brief.own_formulas] == ["Summer American"]
    form = visitor.get(buttons(page)["Put it into the brief"])
    assert "Summer American is ranked beside ours" in form.text()
    sent = brief_of(form.form_pairs())
    assert sent.own_formulas == brief.own_formulas


def test_the_advice_ranks_it_and_leads_back_to_it(visitor: PageClient) -> None:
    page = visitor.get(asked(**HOT))
    advice = visitor.get(buttons(page)["See the advice with it"], follow=True)
    assert "Outside, the coat Summer American" in advice.text()
    links = [a.get("href", "") for a in advice.all("a") if advice.text(a) == "Summer American"]
    assert links and all(link.startswith("/own-formula?name=Summer+American") for link in links)
    assert "As understood" in visitor.get(links[0]).text()


def test_a_brief_with_a_line_that_is_not_understood_is_refused_on_every_way(real: Flask) -> None:
    bad = {"name": "Mine", "family": "american", "lines": ["4 cups sugar", "1 cup butter"]}
    client = real.test_client()
    answer = client.post("/api/advice", json={"own_formulas": [bad]})
    assert answer.status_code == 422
    assert answer.get_json()["problems"][0]["field"] == "own_formulas.0.lines.0"
    query = urlencode(
        {"own_formulas-0-name": "Mine", "own_formulas-0-family": "american", "own_formulas-0-lines": "4 cups sugar"}
    )
    for address in ("/advice", "/advice/map"):
        page = Page(client.get(f"{address}?{query}"))
        assert page.status == 422
        assert "Your own formula 1: “4 cups sugar”" in page.text()
        assert page.by_id("own_formulas") is not None
    assert client.get(f"/advice?{query}", headers={"X-Fragment": "advice"}).status_code == 422


def test_the_api_ranks_own_formulas(real: Flask) -> None:
    own = RECIPE | {"lines": STURDY.splitlines()}
    shape = {"setting": "shade", "air_high_c": 34, "hold_hours": 3, "own_formulas": [own]}
    advice = real.test_client().post("/api/advice", json=shape).get_json()
    assert advice["pairing"]["coat"]["formulation"] == "own-1"
    assert advice["brief"]["own_formulas"][0]["lines"] == STURDY.splitlines()


def test_the_description_for_programs_has_the_field(browser: FlaskClient) -> None:
    schemas = browser.get("/api/schema").get_json()["components"]["schemas"]
    assert set(schemas["OwnFormula"]["properties"]) == {"name", "family", "egg_treatment", "lines"}
    assert "own_formulas" in json.dumps(schemas["Brief"])


def test_the_brief_has_a_way_to_the_page_and_a_way_to_take_a_formula_out(visitor: PageClient) -> None:
    page = visitor.get(buttons(visitor.get(asked()))["Put it into a brief"])
    ways = {button.get("value") or page.text(button): button.get("formaction") for button in page.all("button")}
    assert ways["Enter a recipe of your own"] == "/own-formula"
    without = visitor.get("/?" + urlencode([*page.form_pairs(), ("change", "remove-own-0")]))
    assert "Summer American" not in without.text()
    assert without.form_pairs() == [pair for pair in page.form_pairs() if not pair[0].startswith("own_formulas")]


def test_the_same_name_is_written_over_and_a_fourth_is_not_taken() -> None:
    own = brief_of([(f"own_formulas-0-{name}", text) for name, text in RECIPE.items()]).own_formulas[0]
    once = with_own_formula([("setting", "sun")], own)
    assert once is not None
    assert with_own_formula(once, own) == once
    others = [own.model_copy(update={"name": str(number)}) for number in range(3)]
    full = once
    for other in others[:2]:
        full = with_own_formula(full, other) or []
    assert len(brief_of(full).own_formulas) == 3
    assert with_own_formula(full, others[2]) is None


def test_us_readers_get_fahrenheit(real: Flask) -> None:
    bare = real.test_client()
    bare.set_cookie("units", "us", domain="localhost")
    assert "°F" in PageClient(bare).get(asked()).text()
