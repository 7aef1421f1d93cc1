from __future__ import annotations

from urllib.parse import urlencode

import pytest

from tests.pages.page import Page, PageClient

SPONGE = "sponge_list=wheat+flour%0Asugar%0Aeggs&sponge_allergens=gluten&sponge_allergens=egg"
CARD = f"/label?coat=american-plant&filling=swiss-butter&{SPONGE}"


def card(page: Page) -> str:
    (found,) = [each for each in page.all("section") if "ingredient-card" in each.get("class", "")]
    return page.text(found)


def bold(page: Page) -> set[str]:
    (found,) = [each for each in page.all("section") if "ingredient-card" in each.get("class", "")]
    return {page.text(each) for each in found.iter("strong")}


def test_the_empty_page_asks_and_says_that_law_comes_first(client: PageClient) -> None:
    text = client.get("/label").text()
    assert "Planning help, not a legal label." in text
    assert "The labelling law of the place comes first" in text
    assert "The card will stand here" in text


def test_ingredients_stand_in_falling_order_with_their_parts(client: PageClient) -> None:
    text = card(client.get(CARD))
    names = ["Sponge (wheat flour, sugar, eggs", "Powdered sugar with corn starch [sugar, corn starch]", "Water"]
    places = [text.index(name) for name in names]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("law", "words"),
    [
        ("us", {"Milk", "Egg", "Wheat", "Soybeans"}),
        ("eu", {"Milk", "Eggs", "Cereals containing gluten", "Soybeans"}),
    ],
)
def test_allergens_are_in_bold_in_the_words_of_the_law(client: PageClient, law: str, words: set[str]) -> None:
    page = client.get(f"{CARD}&law={law}")
    assert bold(page) - {"Ingredients:"} == words


def test_coconut_is_named_and_told_to_be_on_neither_list(client: PageClient) -> None:
    page = client.get(CARD)
    assert "coconut" in card(page)
    assert "coconut" not in {word.lower() for word in bold(page)}
    assert "dropped coconut on 2025-01-06" in page.text()


def test_cross_contact_is_said_only_of_what_is_ticked(client: PageClient) -> None:
    assert "traces cannot be ruled out" not in card(client.get(CARD))
    text = card(client.get(f"{CARD}&handled=peanut&handled=sesame"))
    assert "Made in a kitchen that also works with peanuts, sesame; traces cannot be ruled out." in text


def test_energy_is_given_in_100_g_and_in_a_slice_whose_size_is_explained(client: PageClient) -> None:
    page = client.get(f"{CARD}&slice_g=100")
    text = card(page)
    assert "In 100 g" in text and "In a slice of 100 g" in text
    energy = [row for row in page.all("tr") if page.text(row).startswith("Energy")][0]
    in_100_g, in_slice = [page.text(cell) for cell in energy.iter("td")]
    assert in_100_g == in_slice
    assert "wedding slice" in page.text()
    assert "NDB 18139" in page.text()


def test_the_brief_is_carried_along_and_its_cake_weighed(client: PageClient) -> None:
    page = client.get(f"{CARD}&cupcakes=24&tiers=")
    assert "In a cupcake of" in card(page)
    assert ("cupcakes", "24") in page.form_pairs("label")


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("coat=custard", "Choose the coat from the list."),
        ("coat=swiss-butter&filling=custard", "Choose the filling from the list."),
        ("coat=swiss-butter&law=uk", "Choose the list of allergens."),
        ("coat=swiss-butter&slice_g=2", "Enter the slice as a number from 10 to 1000 g"),
        ("coat=swiss-butter&slice_g=big", "Enter the slice as a number from 10 to 1000 g"),
        ("coat=swiss-butter&sponge_allergens=luck", "Choose the allergens from the list."),
        ("coat=swiss-butter&sponge_list=" + "x" * 200, "one ingredient of the sponge a line"),
        ("coat=swiss-butter&sponge_list=" + "x%0A" * 99, "at most 60 lines"),
        ("coat=swiss-butter&air_high_c=hot", "Enter the warmest air"),
    ],
)
def test_what_is_wrong_is_told(client: PageClient, query: str, said: str) -> None:
    page = client.get(f"/label?{query}", status=422)
    assert said in page.text(page.by_id("problems"))


def test_what_was_typed_is_kept(client: PageClient) -> None:
    page = client.get(f"/label?coat=swiss-butter&slice_g=big&{SPONGE}", status=422)
    assert page.value("slice_g") == "big"
    (area,) = page.all("textarea")
    assert page.text(area) == "wheat flour sugar eggs"


def test_what_is_written_is_shown_as_text_and_nothing_else(client: PageClient) -> None:
    page = client.get("/label?coat=swiss-butter&sponge_list=%3Cscript%3Ealert(1)%3C/script%3E")
    assert "<script>alert(1)</script>" in card(page)


def test_nothing_on_the_page_calls_food_safe(client: PageClient) -> None:
    assert " safe" not in client.get(CARD).text().lower()


def test_what_is_typed_and_not_ticked_is_asked_about(client: PageClient) -> None:
    text = client.get("/label?coat=swiss-butter&sponge_list=rice+flour%0Aground+almonds").text()
    assert "Your sponge names “ground almonds”. Should tree nuts be ticked?" in text
    assert "Before you print" not in client.get(CARD).text()


def test_a_sponge_that_was_shown_is_taken_again(client: PageClient) -> None:
    first = client.get("/label?coat=american-plant&sponge_list=200+g+wheat+flour%0A3+kg+sugar")
    shown = (first.by_id("sponge_list").text or "").strip("\n")
    again = client.get(f"/label?{urlencode({'coat': 'american-plant', 'sponge_list': shown})}")
    assert again.status == 200
    assert "200 g wheat flour, 3 kg sugar" in card(again).replace("\xa0", " ")


def test_a_card_against_the_diet_of_its_brief_says_so(client: PageClient) -> None:
    text = client.get("/label?coat=french-butter&filling=american-plant&diet=vegan").text()
    assert "Not for this brief" in text
    assert "French, all butter: Has" in text and "nothing from animals" in text
    assert "Not for this brief" not in client.get("/label?coat=american-plant&diet=vegan").text()
