from __future__ import annotations

import io
import re
from collections.abc import Iterator
from urllib.parse import parse_qsl, urlsplit

import pytest
from flask import Flask
from flask.testing import FlaskClient
from openpyxl import load_workbook

from tests.days import MIDSUMMER
from tests.pages.page import Page, PageClient
from webapp import create_app
from webapp.config import Config

BRIEF = f"setting=indoors&air_high_c=21&hold_hours=3&date={MIDSUMMER}&tiers-0-width_cm=25&tiers-1-width_cm=15"
PAIR = "coat=italian-butter&filling=french-butter"


@pytest.fixture(scope="module")
def plans(app: Flask) -> Iterator[PageClient]:
    yield PageClient(app.test_client())


@pytest.fixture(scope="module")
def reader() -> PageClient:
    """Reads pages that follow from an advice of the product itself."""
    return PageClient(create_app(Config()).test_client())


@pytest.fixture(scope="module")
def plan(plans: PageClient) -> Page:
    return plans.get(f"/plan?{BRIEF}&{PAIR}")


@pytest.fixture(scope="module")
def shopping(plans: PageClient) -> Page:
    return plans.get(f"/plan/shopping?{BRIEF}&{PAIR}")


def rows_of(page: Page, table: int) -> list[list[str]]:
    found = page.all("table")[table]
    return [[page.text(cell) for cell in row if cell.tag in ("td", "th")] for row in found.iter("tr")]


def test_a_batch_is_in_grams_with_measures_beside_for_who_bakes_by_them(plan, us_client):
    """Seen to fail: pounds, ounces and cups for a metric reader."""
    header, *rows = rows_of(plan, 0)
    assert header[0] == "Ingredient" and "whites" in header[1]
    butter = next(cells for cells in rows if cells[0] == "Unsalted butter")
    assert re.fullmatch(r"[\d ]+ g", butter[1].replace("\xa0", " "))
    _, *rows = rows_of(us_client.get(f"/plan?{BRIEF}&{PAIR}"), 0)
    butter = next(cells for cells in rows if cells[0] == "Unsalted butter")
    assert re.match(r"[\d ]+ g [\d.]+ (oz|lb) ?, about .*stick", butter[1].replace("\xa0", " "))
    assert rows[-1][0] == "Makes"


def test_whites_and_yolks_are_said_to_come_from_the_same_eggs(plan):
    said = plan.text()
    assert re.search(r"Crack \d+ large eggs: \d+ whites? and \d+ yolks? are used\.", said)
    assert "Whites and yolks come from the same eggs" in said
    assert "2 days in the fridge" in said


def test_a_syrup_is_told_by_temperature_mass_and_water_gone(plan):
    assert re.search(
        r"Boil the sugar and .+ of water to 115\s°C\. The pan then holds .+ of water has gone, 86 % is sugar",
        plan.text(),
    )
    assert "Syrup at 115 to 120 °C" in plan.text()


def test_altitude_lowers_the_syrup(plans):
    high = plans.get(f"/plan?{BRIEF}&altitude_m=1600&{PAIR}", follow=True)
    assert re.search(r"of water to 109\s°C", high.text())


def test_the_stack_has_boards_dowels_and_its_caution(plan):
    said = plan.text()
    assert re.search(r"Dowels: 5, each 12\.7\scm in the bottom tier", said)
    assert "kPa without" in said
    assert "every tier that carries another is dowelled" in said


def test_no_caution_is_given_twice(plan, app):
    said = plan.text()
    given = {rule.id: said.count(rule.sentence) for rule in app.extensions["catalogue"].rules.values()}
    assert {"stacked-supports", "not-food", "planning-help", "allergens", "time-out"} <= {
        id_ for id_, times in given.items() if times == 1
    }
    assert max(given.values()) == 1


def test_an_unsupported_stack_has_no_dowels(plans):
    said = plans.get(f"/plan?{BRIEF}&supported=false&{PAIR}", follow=True).text()
    assert "Dowels:" not in said
    assert "the bottom tier itself" in said


def test_amounts_can_be_followed_place_by_place(plan):
    tables = [rows_of(plan, place) for place in range(len(plan.all("table")))]
    (amounts,) = [rows for rows in tables if rows[0][:3] == ["Where", "Of", "Follows from"]]
    assert [cells[0] for cells in amounts if len(cells) == 3] == ["Bottom tier", "Top tier", "Taken along"]
    assert ["Crumb coat", "Coat over it"] == [cells[0] for cells in amounts[2:4]]


def test_guests_are_compared_with_the_slices(plans):
    assert "short of the 200 guests: bake" in plans.get(f"/plan?{BRIEF}&{PAIR}&guests=200", follow=True).text()
    assert "more than the 10 guests" in plans.get(f"/plan?{BRIEF}&{PAIR}&guests=10", follow=True).text()


def test_us_readers_get_cups_and_inches_and_still_grams_first(us_client):
    page = us_client.get(f"/plan?{BRIEF}&{PAIR}")
    said = page.text().replace("\xa0", " ")
    assert "cups" in said and "°F" in said
    butter = next(cells for cells in rows_of(page, 0) if cells[0] == "Unsalted butter")
    assert re.match(r"[\d ]+ g ", butter[1].replace("\xa0", " "))


def test_what_was_chosen_stays_in_the_form_and_in_the_address(browser):
    answer = browser.get(f"/plan?{BRIEF}&guests=90&allowance_pct=&bowl_l=6,9")
    assert answer.status_code == 303
    pairs = parse_qsl(urlsplit(answer.location).query)
    assert ("guests", "90") in pairs and not {name for name, _ in pairs} & {"allowance_pct"}
    page = Page(browser.get(answer.location, follow_redirects=True))
    assert page.value("guests") == "90"


def test_us_readers_type_inches_quarts_and_ounces(app):
    """Seen to fail: the plan of a US reader asked for mm and L, its shopping list for grams."""
    browser = app.test_client()
    browser.set_cookie("units", "us")
    answer = browser.get(f"/plan?{BRIEF}&{PAIR}&filling_in=0.25&bowl_qt=6")
    assert {("filling_mm", "6.35"), ("bowl_l", "5.68")} <= set(parse_qsl(urlsplit(answer.location).query))
    page = Page(browser.get(answer.location))
    assert (page.value("filling_in"), page.value("crumb_in"), page.value("bowl_qt")) == ("0.25", "", "6")
    said = page.text().replace("\xa0", " ")
    assert "Each filling (in)" in said and "The mixer’s 6 qt bowl" in said and "(mm" not in said and "(L" not in said
    form = "pack_oz-butter=16&cost-butter=5&pack-eggs=18&cost-eggs=4"
    answer = browser.get(f"/plan/shopping?{BRIEF}&{PAIR}&{form}")
    pairs = parse_qsl(urlsplit(answer.location).query)
    assert [text for name, text in pairs if name == "price"] == ["butter:453.6:5", "eggs:18:4"]
    page = Page(browser.get(answer.location))
    assert (page.value("pack_oz-butter"), page.value("pack-eggs")) == ("16", "18")
    assert "Pack (oz)" in page.text() and "Pack (g)" not in page.text() and "1 L weighs" not in page.text()


def test_a_us_readers_bad_option_is_told_in_quarts_and_stays_as_typed(us_client):
    page = us_client.get(f"/plan?{BRIEF}&{PAIR}&bowl_qt=600&crumb_in=thin", status=422)
    said = page.text(page.by_id("problems"))
    assert "600 qt is too large" in said and "“thin” is not a number" in said
    page_of_prices = us_client.get(f"/plan/shopping?{BRIEF}&{PAIR}&pack_oz-butter=16&cost-butter=cheap", status=422)
    # Seen to fail: the form was gone, and with it all that had been typed.
    assert (page_of_prices.value("pack_oz-butter"), page_of_prices.value("cost-butter")) == ("16", "cheap")
    assert (page.value("bowl_qt"), page.value("crumb_in")) == ("600", "thin")
    assert page.by_id("bowl_qt-error") is not None


def test_a_bad_option_is_said_at_its_field(plans):
    page = plans.get(f"/plan?{BRIEF}&allowance_pct=99&guests=many", status=422)
    said = page.text(page.by_id("problems"))
    assert "The allowance: 99 is too large. Enter a number from 0 to 60." in said
    # Seen to fail: "allowance" first, as the options are read, and straight quotes.
    assert said.index("The number of guests: “many” is not a whole number. Enter a whole") < said.index("The allowance")
    assert page.by_id("allowance_pct").get("aria-invalid") == "true"
    assert page.value("allowance_pct") == "99"


def test_a_bad_brief_is_mended_on_its_own_form(plans):
    assert "Enter the warmest air" in plans.get("/plan?air_high_c=hot", status=422).text()


def test_a_formulation_that_is_not_there_is_refused(plans):
    assert "there is no such formulation" in plans.get(f"/plan?{BRIEF}&coat=royal", status=422).text()


def test_shopping_tells_packs_costs_and_a_portion(shopping):
    header, *rows = rows_of(shopping, 0)
    assert header == ["Item", "Buy", "Used", "Left", "Cost of the packs", "Cost of what is used"]
    assert rows[0][0] == "☐ Eggs, large" and "of 12" in rows[0][1]
    assert rows[-1][0] == "All"
    assert re.search(r"cost \d+\.\d\d EUR a portion", shopping.text())


def test_other_pairings_are_compared_by_cost(shopping):
    assert "Against the next pairings" in shopping.text()
    assert re.search(r"inside: \d+\.\d\d EUR, (\d+\.\d\d EUR (more|less)|the same)\.", shopping.text())


def test_ones_own_price_is_kept_and_what_is_left_empty_is_only_an_example(browser):
    form = "pack-butter=500&cost-butter=5&pack-granulated-sugar=&cost-granulated-sugar=&currency=GBP"
    answer = browser.get(f"/plan/shopping?{BRIEF}&{PAIR}&{form}")
    pairs = parse_qsl(urlsplit(answer.location).query)
    assert [text for name, text in pairs if name == "price"] == ["butter:500:5"]
    page = Page(browser.get(answer.location))
    assert page.value("pack-butter") == "500"
    # Seen to fail: what we assume stood in the entries as if it had been typed in.
    pack, cost = page.by_id("pack-granulated-sugar"), page.by_id("cost-granulated-sugar")
    assert (pack.get("value"), pack.get("placeholder")) == ("", "1000")
    assert (cost.get("value"), cost.get("placeholder")) == ("", None)  # no price is known in pounds
    said = page.text()
    # Seen to fail: a cost of a portion, and a comparison, of prices that were thought of in another currency.
    assert "5.00 GBP" in said and "not known" in said
    assert "GBP a portion" not in said and "Against the next pairings" not in said


def test_a_price_of_ones_own_that_is_as_much_as_we_assume_is_told(browser):
    """Seen to fail: whose salt costs 0.80 GBP, as many as the euros that we assume, stayed at "not known"."""
    example = Page(browser.get(f"/plan/shopping?{BRIEF}&{PAIR}", follow_redirects=True)).by_id("cost-salt")
    assert example.get("value") == "" and example.get("placeholder") == "0.80"
    answer = browser.get(f"/plan/shopping?{BRIEF}&{PAIR}&cost-salt=0.80&currency=GBP", follow_redirects=True)
    (salt,) = [cells for cells in rows_of(Page(answer), 0) if "Table salt" in cells[0]]
    assert "0.80 GBP" in salt


def test_clearing_a_price_takes_the_usual_one(browser):
    answer = browser.get(f"/plan/shopping?{BRIEF}&{PAIR}&price=butter:500:5&pack-butter=&cost-butter=")
    assert "price" not in dict(parse_qsl(urlsplit(answer.location).query))


def test_a_price_that_is_none_is_said(plans):
    page = plans.get(f"/plan/shopping?{BRIEF}&{PAIR}&pack-butter=500&cost-butter=cheap", status=422)
    assert "The price of butter: a pack of “500” for “cheap”" in page.text(page.by_id("problems"))


@pytest.mark.parametrize("page", ["/plan", "/plan/shopping"])
def test_where_nothing_fits_there_is_nothing_to_plan(page: str) -> None:
    from webapp import create_app
    from webapp.config import Config

    client = PageClient(create_app(Config()).test_client())
    said = client.get(f"{page}?diet=egg-free&diet=soy-free&diet=vegan&equipment=", follow=True).text()
    assert "Nothing in the book fits this brief" in said and "Change the brief" in said
    # Seen to fail: twelve entries for a plan that there is not, and "As advised ()".
    assert "Plan again" not in said and "()" not in said


def test_the_workbook_has_the_numbers_of_the_page(browser: FlaskClient) -> None:
    answer = browser.get(f"/plan.xlsx?{BRIEF}&{PAIR}")
    assert answer.status_code == 200
    assert "kitchen-plan.xlsx" in answer.headers["Content-Disposition"]
    book = load_workbook(io.BytesIO(answer.data))
    assert book.sheetnames == ["Shopping", "Batches", "Amounts", "Balance", "Stack"]
    balance = [row[1] for row in book["Balance"].iter_rows(min_row=2, values_only=True)]
    # Seven numbers to a tenth of a gram add up to nothing.
    assert sum(balance) == pytest.approx(0, abs=0.5)
    used = {row[0]: row[1] for row in book["Shopping"].iter_rows(min_row=2, values_only=True)}
    batches = book["Batches"].iter_rows(min_row=2, values_only=True)
    butter = sum(row[2] * row[5] for row in batches if row[4] == "Unsalted butter")
    assert butter == pytest.approx(used["Unsalted butter"], abs=0.1)


def test_the_table_of_values_reads_back(browser: FlaskClient) -> None:
    import csv

    answer = browser.get(f"/plan.csv?{BRIEF}&{PAIR}")
    assert answer.mimetype == "text/csv"
    text = answer.data.decode("utf-8-sig")
    assert "\r\n" in text
    rows = [*csv.reader(io.StringIO(text))]
    assert ["Shopping"] in rows and ["Balance"] in rows
    assert [row[1] for row in rows if row[:1] == ["Eggs, large"]][0].isdecimal()


def test_a_download_of_a_bad_brief_or_option_says_why(browser: FlaskClient) -> None:
    for address in (
        "/plan.csv?air_high_c=hot",
        f"/plan.xlsx?{BRIEF}&guests=0",
        "/plan.ics?air_high_c=hot",
        f"/plan.ics?{BRIEF}&guests=0",
    ):
        answer = browser.get(address)
        assert (answer.status_code, answer.mimetype) == (422, "text/plain"), address
        assert re.search("What fits|Enter a", answer.get_data(as_text=True))


def test_the_calendar_is_the_order_of_work(browser: FlaskClient) -> None:
    answer = browser.get(f"/plan.ics?{BRIEF}&{PAIR}")
    assert answer.mimetype == "text/calendar"
    assert answer.data.startswith(b"BEGIN:VCALENDAR")


def test_a_heart_and_a_hexagon_can_be_planned(plans):
    shapes = "tiers-0-shape=hexagon&tiers-0-width_cm=30&tiers-1-shape=heart&tiers-1-width_cm=20"
    said = plans.get(f"/plan?{shapes}&{PAIR}", follow=True).text()
    assert re.search(r"hexagon 30\scm, heart 20\scm", said)


@pytest.mark.parametrize("page", ["/plan", "/plan/shopping", "/plan.csv", "/plan.xlsx", "/plan.ics"])
@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("diet=vegan&coat=french-butter", "nothing from animals"),
        ("date=0001-01-01", "date"),
        ("date=9999-12-31", "date"),
        ("filling_mm=25&tiers-0-height_cm=4&tiers-0-layers=10", "fillings"),
    ],
)
def test_what_cannot_be_planned_is_refused_on_every_page_and_download(app: Flask, page: str, query: str, said: str):
    answer = app.test_client().get(f"{page}?{query}")
    assert answer.status_code == 422
    assert said in answer.get_data(as_text=True)


def test_a_coat_that_was_chosen_and_does_not_hold_is_not_planned_without_a_word(reader: PageClient):
    hot = "setting=shade&air_high_c=31&hold_hours=4&tiers-0-width_cm=20"
    said = reader.get(f"/plan?{hot}&coat=french-butter").text().replace("\xa0", " ")
    assert re.search(r"French, all butter was chosen in place of .+ Likely to hold .+; you need 4 h\.", said)
    assert "was chosen in place of" not in reader.get(f"/plan?{hot}").text()


def test_a_coat_that_was_chosen_against_a_limit_is_told(reader: PageClient):
    said = reader.get("/plan?tiers-0-width_cm=20&equipment=&coat=swiss-butter").text()
    assert "Swiss, all butter was chosen" in said and "Cannot be made without a stand mixer" in said


def test_a_filling_bears_a_weight_and_the_pressure_is_one_step_down(plan):
    said = plan.text().replace("\xa0", " ")
    assert re.search(r"\d+(\.\d)? k?g; \d+\.\d kg without dowels", said)
    assert "The same as pressure on the filling" in said


def test_a_single_tier_has_no_word_of_dowels_on_its_filling(plans):
    said = plans.get(f"/plan?tiers-0-width_cm=20&date={MIDSUMMER}&{PAIR}", follow=True).text()
    assert "on dowels" not in said and "without dowels" not in said


def test_an_assumed_day_is_told_on_top_and_has_no_calendar(plans, app):
    query = f"tiers-0-width_cm=20&{PAIR}"
    page = plans.get(f"/plan?{query}", follow=True)
    assert "The day was assumed: no date was given" in page.text()
    assert not [link for link in page.all("a") if "/plan.ics" in (link.get("href") or "")]
    assert app.test_client().get(f"/plan.ics?{query}").status_code == 409


def test_the_board_at_the_foot_is_a_size_that_is_sold(plan):
    assert re.search(r"Boards, bottom first: at least \d+\scm, 15\scm\.", plan.text())


def test_a_buttercream_of_several_batches_has_the_whole_width(plans):
    page = plans.get(f"/plan?{BRIEF}&{PAIR}&bowl_l=2", follow=True)
    wide = [each for each in page.all("div") if "making-wide" in (each.get("class") or "")]
    assert wide and all(len(page.all("table")[0].findall(".//thead//th")) > 2 for _ in wide[:1])


def test_times_of_work_are_typed_by_the_clock_and_taken_leniently(browser):
    """Seen to fail: 5:30 was no time, and a phone's keyboard of digits has no colon."""
    answer = browser.get(f"/plan?{BRIEF}&work_from=5:30&work_to=9 pm")
    assert {("work_from", "05:30"), ("work_to", "21:00")} <= set(parse_qsl(urlsplit(answer.location).query))
    page = Page(browser.get(answer.location, follow_redirects=True))
    assert page.by_id("work_from").get("type") == "time" and page.value("work_from") == "05:30"


def test_an_entry_left_empty_shows_what_is_taken(plan):
    """Seen to fail: allowance, filling, crumb coat, bowl and fridge were blank."""
    shown = {id_: plan.by_id(id_).get("placeholder") for id_ in ("filling_mm", "crumb_mm", "bowl_l", "days_ahead")}
    assert shown == {"filling_mm": "6", "crumb_mm": "2", "bowl_l": "4.8", "days_ahead": "3"}
    assert float(plan.by_id("allowance_pct").get("placeholder")) > 0


def test_the_advised_coat_is_offered_once_with_its_name_first(plans):
    page = plans.get(f"/plan?{BRIEF}", follow=True)
    first, *others = [page.text(option) for option in page.by_id("coat")]
    assert first.endswith(" (advised)") and first.removesuffix(" (advised)") not in others


def test_the_bag_that_goes_along_is_in_the_amounts_and_on_the_car(plans):
    """Seen to fail: nobody was told to take coat along, and none was made for it."""
    page = plans.get(f"/plan?{BRIEF}&{PAIR}&travel_minutes=30&piping=borders", follow=True)
    tables = [rows_of(page, place) for place in range(len(page.all("table")))]
    (row,) = [cells for rows in tables for cells in rows if cells[0] == "Bag for mending the foot"]
    foot = [cells for rows in tables for cells in rows if cells[0] == "Piping, foot"][-1]
    (bag,) = re.findall(r"with about (\d+)\sg of coat in a piping bag", page.text())
    assert row[2:] == foot[2:]  # as much as the foot of the one tier that is stacked
    assert 0 <= int(bag) - int(row[4].split()[0]) < 10
