from __future__ import annotations

import re

import pytest
from flask import Flask

from tests.pages.page import PageClient
from webapp.pages.fact_names import THEMES
from webapp.pages.families import by_theme, other_facts
from webapp.pages.formatters import SOURCE_KINDS, STAGES, fact_range
from webapp.units import METRIC


def test_every_family_and_formulation_is_listed(app: Flask, client: PageClient) -> None:
    text = client.get("/families").text()
    for formula in app.extensions["catalogue"].formulations.values():
        assert formula.name in text


@pytest.mark.parametrize("family_id", ["american", "swiss", "italian", "french"])
def test_a_family_shows_every_formula_and_every_fact_with_its_range(
    app: Flask, client: PageClient, family_id: str
) -> None:
    page, catalogue = client.get(f"/families/{family_id}"), app.extensions["catalogue"]
    text = page.text()
    formulas = [f for f in catalogue.formulations.values() if f.family.id == family_id]
    assert formulas
    for formula in formulas:
        assert all(line.ingredient.name in text for line in formula.lines)
    subjects = {family_id, *(formula.id for formula in formulas)}
    for fact in catalogue.facts.values():
        if fact.subject in subjects:
            assert fact_range(fact, METRIC).replace("\xa0", " ") in text


def test_every_source_can_be_reached_by_its_key(app: Flask, client: PageClient) -> None:
    page = client.get("/sources")
    for key in app.extensions["catalogue"].sources:
        assert page.by_id(f"source-{key}") is not None


def test_a_family_says_whose_label_decides_below_its_allergens(client: PageClient) -> None:
    # Seen to fail: with `to_check` left out of the page.
    text = client.get("/families/american").text()
    assert "Check the label powdered sugar with corn starch (gluten)" in text
    assert text.index("Allergens") < text.index("Check the label")


def test_acidity_is_written_as_chemists_write_it(client: PageClient) -> None:
    text = client.get("/families/swiss").text()
    assert " pH " in text and " Ph " not in text


def test_a_source_says_nothing_twice_and_names_its_kind(app: Flask, client: PageClient) -> None:
    # Seen to fail: with the title of an authorless source written out below it again.
    page = client.get("/sources")
    for key, source in app.extensions["catalogue"].sources.items():
        lines = [page.text(each) for each in page.by_id(f"source-{key}")]
        assert len(lines) == len(set(lines))
        assert lines[-1] == f"Kind: {SOURCE_KINDS[source.kind]}"


def test_a_source_says_its_year_once_and_after_its_author(app: Flask, client: PageClient) -> None:
    # Seen to fail: with the year last, and once more within the edition.
    text = client.get("/sources").text()
    assert "Trade magazine for in-store bakeries, 2018, May, p. 102" in text
    assert "US Department of Agriculture, Agricultural Research Service, 2016, Release 28" in text
    sources = app.extensions["catalogue"].sources.values()
    assert [each.key for each in sources if each.year and each.year in f"{each.author} {each.edition}"] == []


def test_no_row_is_named_by_a_code_of_the_data(app: Flask, client: PageClient) -> None:
    # Seen to fail: "Cake: filling mm", "Solute, sucrose: norrish k", "Edge, borders: top ml m".
    page = client.get("/sources")
    titles = [page.text(term) for facts in page.all("dl") if facts.get("class") == "facts" for term in facts.iter("dt")]
    assert len(titles) == len(other_facts(app.extensions["catalogue"])) == len(set(titles))
    codes = re.compile(r"(?:^| )(?:mm|cm|ml|m|kg|c|k|l|h|pct|share)$|_")
    assert [title for title in titles if codes.search(title)] == []


def test_every_number_that_families_share_has_its_theme(app: Flask, client: PageClient) -> None:
    # Seen to fail: with "shop" left out of the themes.
    assert list(by_theme(other_facts(app.extensions["catalogue"]))) == list(THEMES)
    text = client.get("/sources").text()
    assert all(theme in text for theme in THEMES)


def test_a_formula_names_its_steps_in_words(app: Flask, client: PageClient) -> None:
    # Seen to fail: the column held "beat", "fat" and "flavour".
    catalogue = app.extensions["catalogue"]
    assert {line.stage for formula in catalogue.formulations.values() for line in formula.lines} == set(STAGES)
    american, swiss = (client.get(f"/families/{family}").text() for family in ("american", "swiss"))
    assert "Unsalted butter 450 g beat in" in swiss and "150 g whip" in swiss
    assert "beat soft" in american and "beat soft" not in swiss


def test_families_are_written_in_us_units_for_those_who_want_them(us_client: PageClient) -> None:
    assert "°F" in us_client.get("/families/american").text()


@pytest.mark.parametrize(("units", "in_cups"), [("us", True), ("uk", False), ("metric", False)])
def test_a_formula_is_in_grams_first_and_in_cups_and_sticks_for_us_readers(
    app: Flask, units: str, in_cups: bool
) -> None:
    bare = app.test_client()
    bare.set_cookie("units", units, domain="localhost")
    text = PageClient(bare).get("/families/swiss").text().replace("\xa0", " ")
    assert "450 g" in text
    assert ("about 4 sticks" in text) == in_cups
