from __future__ import annotations

import re
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
    assert "It will stand here, to print" in text


def test_ingredients_stand_in_falling_order_with_their_parts(client: PageClient) -> None:
    text = card(client.get(CARD))
    names = ["(wheat flour, sugar, eggs)", "powdered sugar with corn starch [sugar, corn starch]", "water"]
    places = [text.index(name) for name in names]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("law", "words"),
    [
        ("us", {"Milk", "Egg", "Wheat", "Soybeans"}),
        ("eu", {"Milk", "Eggs", "Cereals containing gluten (which cereals? ________________)", "Soybeans"}),
    ],
)
def test_allergens_are_in_bold_in_the_words_of_the_law(client: PageClient, law: str, words: set[str]) -> None:
    page = client.get(f"{CARD}&law={law}")
    # Where the law wants the cereals named, the card is not complete without them.
    assert bold(page) - {"Ingredients:"} == words | ({"Not complete"} if law == "eu" else set())


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
    energy = [row for row in page.all("tr") if page.text(row).startswith("Calories")][0]
    in_100_g, in_slice = [page.text(cell) for cell in energy.iter("td")]
    assert in_100_g == in_slice
    assert "wedding slice" in page.text()
    assert "NDB" not in page.text()
    assert "from the leanest sponge to the richest butter cake: energy 357 kcal" in page.text().replace("\xa0", " ")


def test_the_brief_is_carried_along_and_its_cake_weighed(client: PageClient) -> None:
    page = client.get(f"{CARD}&cupcakes=24&tiers=")
    assert "In a cupcake of" in card(page)
    assert ("cupcakes", "24") in page.form_pairs("label")


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("coat=custard", "Choose the buttercream outside from the list."),
        ("coat=swiss-butter&filling=custard", "Choose the buttercream between the layers from the list."),
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


def test_a_filling_that_is_the_same_is_not_blamed_for_the_coat(client: PageClient) -> None:
    # Seen to fail: two things to mend where one was wrong.
    page = client.get("/label?coat=custard", status=422)
    assert [link.get("href") for link in page.by_id("problems").iter("a")] == ["#coat"]
    assert ("coat", "") in page.form_pairs("label")


def test_what_was_typed_is_kept(client: PageClient) -> None:
    page = client.get(f"/label?coat=swiss-butter&slice_g=big&{SPONGE}", status=422)
    assert page.value("slice_g") == "big"
    (area,) = page.all("textarea")
    assert page.text(area) == "wheat flour sugar eggs"


# Seen to fail: with an entry in grams for US readers too.
@pytest.mark.parametrize(
    ("units", "typed", "name", "shown", "said"),
    [
        ("us", "slice_oz=3.5", "slice_oz", "3.5", "In a slice of 3.5 oz (99 g)"),
        ("us", "slice_oz=2.25", "slice_oz", "2.25", "In a slice of 2.25 oz (64 g)"),
        ("us", "slice_oz=17.5", "slice_oz", "17.5", "In a slice of 17.5 oz (496 g)"),
        ("us", "slice_oz=3+1/2", "slice_oz", "3 1/2", "In a slice of 3.5 oz (99 g)"),
        ("us", "slice_g=100", "slice_oz", "3.5274", "In a slice of 3.53 oz (100 g)"),
        ("uk", "slice_g=100", "slice_g", "100", "In a slice of 100 g"),
        ("metric", "slice_oz=3.5", "slice_g", "99.22", "In a slice of 99 g"),
    ],
)
def test_a_slice_is_typed_in_the_readers_units(
    client: PageClient, units: str, typed: str, name: str, shown: str, said: str
) -> None:
    page = client.get(f"{CARD}&{typed}&units={units}")
    assert page.value(name) == shown
    assert said in card(page).replace("\xa0", " ")
    assert not {"slice_g", "slice_oz"} - {name} & {given for given, _ in page.form_pairs("label")}


@pytest.mark.parametrize("typed", ["slice_oz=big", "slice_oz=40", "slice_g=2"])
def test_a_slice_that_cannot_be_is_told_in_the_readers_units_and_kept(client: PageClient, typed: str) -> None:
    page = client.get(f"{CARD}&{typed}&units=us", status=422)
    said = page.text(page.by_id("problems")).replace("\xa0", " ")
    assert "Enter the slice as a number from 0.36 to 35.27 oz, or leave it empty." in said
    assert [link.get("href") for link in page.by_id("problems").iter("a")] == ["#slice_oz"]
    assert page.value("slice_oz")


@pytest.mark.parametrize("ounces", ["0.36", "35.27"])
def test_a_slice_as_small_or_large_as_is_told_is_taken(client: PageClient, ounces: str) -> None:
    assert "In a slice of" in card(client.get(f"{CARD}&slice_oz={ounces}&units=us"))


def test_what_is_written_is_shown_as_text_and_nothing_else(client: PageClient) -> None:
    page = client.get("/label?coat=swiss-butter&sponge_list=%3Cscript%3Ealert(1)%3C/script%3E")
    assert "<script>alert(1)</script>" in card(page)


def test_nothing_on_the_page_calls_food_safe(client: PageClient) -> None:
    assert " safe" not in client.get(CARD).text().lower()


def test_what_is_typed_and_not_ticked_is_asked_about(client: PageClient) -> None:
    text = client.get("/label?coat=swiss-butter&sponge_list=rice+flour%0Aground+almonds").text()
    assert "Your sponge names “ground almonds”. Tick tree nuts. If its own label or maker says that it" in text
    assert "Allergens so far: 2 of the nine: Milk, Egg; the sponge is still to be checked." in text
    assert "Before you print" not in client.get(CARD).text()


def test_a_line_that_only_seems_to_name_an_allergen_is_let_go_on_the_readers_word(client: PageClient) -> None:
    # Seen to fail: the card of a sponge with almond flavour stayed "Not complete" whatever was done.
    sponge = "/label?coat=swiss-butter&sponge_list=rice+starch%0A5+g+almond+flavour"
    page = client.get(sponge)
    assert "Not complete:" in bold(page)
    assert "“5 g almond flavour” holds no tree nuts" in page.text(page.by_id("free")).replace("\xa0", " ")
    (value,) = [each.get("value", "") for each in page.all("input") if each.get("id", "").startswith("free-")]
    said = client.get(f"{sponge}&{urlencode({'free': value})}")
    assert "Not complete" not in card(said) and "Before you print" not in said.text()
    assert "By your word “5 g almond flavour” holds no tree nuts." in said.text().replace("\xa0", " ")
    assert ("free", value) in said.form_pairs("label")


def test_a_word_given_for_another_line_or_allergen_is_not_taken(client: PageClient) -> None:
    # Seen to fail: with the value of the tick not looked for among the lines.
    sponge = "/label?coat=swiss-butter&sponge_list=rice+starch%0Aground+almonds"
    for value in ("tree-nut-almond%20flavour", "egg-ground%20almonds", "tree-nut", ""):
        page = client.get(f"{sponge}&{urlencode({'free': value})}")
        assert "Not complete: allergens of the sponge" in card(page)


def test_the_numbers_of_a_cake_are_no_more_exact_than_its_sponge(client: PageClient) -> None:
    # Seen to fail: fat 19.2 g of a cake whose sponge has 2 to 22 g.
    for law, energy in (("us", r"\d*0"), ("eu", r"\d*0 kJ / \d*0 kcal")):
        page = client.get(f"{CARD}&law={law}")
        cells = [page.text(cell).replace("\xa0", " ") for row in page.all("tr") for cell in row.iter("td")]
        assert cells and all(re.fullmatch(rf"\d+ g|{energy}", cell) for cell in cells)
        assert sum(bool(re.fullmatch(energy, cell)) for cell in cells) == 2
    assert "Whole cake, estimated" in card(page)
    alone = card(client.get("/label?coat=swiss-butter")).replace("\xa0", " ")
    assert re.search(r"Fat \d+\.\d g", alone)


def test_a_label_to_read_is_told_in_the_words_of_the_law(client: PageClient) -> None:
    assert "at least traces of wheat" in client.get("/label?coat=american-butter").text()
    assert "at least traces of cereals containing gluten" in client.get("/label?coat=american-butter&law=eu").text()


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


def test_without_a_sponge_the_card_is_of_the_buttercream_alone(client: PageClient) -> None:
    page = client.get("/label?coat=american-butter&filling=swiss-butter&slice_g=80")
    text = card(page)
    assert "Buttercream only" in text and "Sponge not declared" in bold(page)
    assert "Contains:" not in text and "Whole cake" not in text and "slice" not in text
    assert "Cake with buttercream" not in page.text() and "plain white cake" not in page.text()
    assert "Buttercream alone, about" in text
    whole = card(client.get("/label?coat=american-butter&filling=swiss-butter&sponge_list=rice+starch"))
    assert "Cake with buttercream" in whole and "Contains: Milk , Egg ." in whole and "not declared" not in whole


def test_allergens_ticked_for_a_sponge_without_its_list_are_asked_about(client: PageClient) -> None:
    page = client.get("/label?coat=american-plant&sponge_allergens=egg")
    assert "Egg" not in bold(page)
    assert "You ticked egg for a sponge that is not listed" in page.text()


def test_a_brief_alone_brings_its_advised_pairing(client: PageClient) -> None:
    page = client.get("/label?air_high_c=20&setting=indoors")
    chosen = dict(page.form_pairs("label"))
    kept = dict(client.get("/keeping?air_high_c=20&setting=indoors").form_pairs("keeping"))
    assert chosen["coat"] == kept["coat"] and chosen["filling"] == kept["filling"]
    assert "Buttercream only" in card(page)


def test_the_kind_of_a_nut_is_asked_for_and_its_place_left_open(client: PageClient) -> None:
    address = "/label?coat=swiss-butter&sponge_list=ground+almonds&sponge_allergens=tree-nut"
    page = client.get(address)
    assert "Tree nuts (which nuts? ________________)" in bold(page)
    assert "The law wants it said which nuts" in page.text()
    said = client.get(f"{address}&kinds_tree-nut=&kinds_tree-nut=pecan&kinds_tree-nut=brazil-nut")
    assert "Tree nuts (Brazil nut, pecan)" in bold(said)
    assert "The law wants it said" not in said.text()


@pytest.mark.parametrize(
    ("query", "shown"),
    [
        ("law=eu&sponge_allergens=gluten", "Cereals containing gluten (which cereals? ________________)"),
        ("law=eu&sponge_allergens=gluten&kinds_gluten=wheat", "Cereals containing gluten (wheat)"),
        ("law=us&sponge_allergens=gluten", "Wheat"),
        ("law=us&sponge_allergens=fish", "Fish (which fish? ________________)"),
        ("law=us&sponge_allergens=fish&kinds_fish=cod,++pollock", "Fish (cod, pollock)"),
        ("law=eu&sponge_allergens=fish", "Fish"),
    ],
)
def test_each_law_has_its_own_generic_words(client: PageClient, query: str, shown: str) -> None:
    assert shown in bold(client.get(f"/label?coat=american-butter&sponge_list=own+mix&{query}"))


@pytest.mark.parametrize("kinds", ["kinds_tree-nut=coconut", "kinds_fish=" + "x" * 90, "kinds_fish=a%E2%80%8Bb"])
def test_a_kind_that_the_law_does_not_list_is_refused(client: PageClient, kinds: str) -> None:
    ticks = "sponge_allergens=tree-nut&sponge_allergens=fish"
    page = client.get(f"/label?coat=swiss-butter&sponge_list=mix&{ticks}&{kinds}", status=422)
    assert "Choose" in page.text(page.by_id("problems")) or "at most 80 characters" in page.text()


def test_a_slice_is_the_one_of_the_kitchen_plan_and_has_a_range(client: PageClient) -> None:
    text = client.get(CARD).text().replace("\xa0", " ")
    assert re.search(r"A slice is taken as \d+ g \(\d+ to \d+ g by the range of the densities\)", text)
    assert "p. 158" not in text and "sugar 35 g" in text
    assert "by the range of the densities" in text


def test_allergens_of_a_sponge_stand_before_its_list_not_behind_its_last_ingredient(client: PageClient) -> None:
    # Seen to fail: as "butter [Milk, Egg, Wheat]" butter seems to hold wheat.
    text = card(client.get(CARD))
    assert "Sponge [ Egg , Wheat ] (wheat flour, sugar, eggs)" in text


def test_a_card_in_doubt_says_so_within_what_is_printed(client: PageClient) -> None:
    # Seen to fail: with the sentences left beside the card, where paper drops them.
    doubtful = "/label?coat=swiss-butter&law=eu&sponge_list=flour%0Aground+almonds%0Aegg"
    text = card(client.get(doubtful))
    assert "Not complete: allergens of the sponge are still to be checked." in text
    assert "see the ingredients in bold" not in text
    unsaid = "/label?coat=swiss-butter&law=us&sponge_list=own+mix&sponge_allergens=tree-nut"
    assert "Not complete until the line left open for the kind is filled in." in card(client.get(unsaid))
    complete = card(client.get(CARD))
    assert "Not complete" not in complete
    said = card(client.get("/label?coat=swiss-butter&law=eu&sponge_list=own+mix&sponge_allergens=milk"))
    assert "see the ingredients in bold" in said and "Not complete" not in said


def test_what_is_against_the_brief_is_printed_on_the_card(client: PageClient) -> None:
    # Seen to fail: with `against` left beside the card, where paper drops it.
    text = card(client.get("/label?coat=french-butter&filling=american-plant&diet=vegan"))
    assert "Not for this brief: French, all butter: Has" in text
