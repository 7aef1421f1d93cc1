from __future__ import annotations

from urllib.parse import urlencode

import pytest

from tests.pages.keeping_shop import BRIEF, as_sent_by, keep, shown
from tests.pages.page import Page, PageClient
from tests.pages.sample_advice import AMERICAN, FRENCH, SWISS
from webapp.records.consultations import Consultations


def rows(page: Page) -> list[list[str]]:
    cells = [[cell for cell in row if cell.tag in ("td", "th")] for row in page.all("tr")]
    return [[page.text(cell).replace("\xa0", " ") for cell in row] for row in cells]


def asked(*names: str) -> str:
    return "/compare?" + urlencode([("of", name) for name in names])


def pairing(id: str, coat: dict[str, str], filling: dict[str, str]) -> str:
    return f"{id}.{coat['formulation']}.{filling['formulation']}"


def test_two_pairings_of_one_brief_stand_side_by_side_with_what_differs_first(keeper: PageClient) -> None:
    id = keep(keeper.client)
    page = keeper.get(asked(pairing(id, AMERICAN, SWISS), pairing(id, AMERICAN, FRENCH)))
    table = {row[0]: row[1:] for row in rows(page)}
    names = list(table)
    assert table["Sweetness"] and table["Cost of the ingredients"][0] != table["Cost of the ingredients"][1]
    assert len(set(table["Keeps its look"])) == len(set(table["Chance that the coat holds"])) == 1
    divide = names.index("The same for both")
    assert names.index("Cost of the ingredients") < divide < names.index("Keeps its look")
    assert table["Allergens"] == ["Egg, milk, soybeans"] * 2
    assert "Verdict of the advice" not in names


def test_a_choice_made_side_by_side_is_kept(keeper: PageClient, kept: Consultations) -> None:
    id = keep(keeper.client)
    page = keeper.get(asked(pairing(id, AMERICAN, SWISS), pairing(id, AMERICAN, FRENCH)))
    address = f"/consultations/{id}/choice"
    assert keeper.client.post(address, data=as_sent_by(page, address)).status_code == 303
    assert (kept.get(id).coat, kept.get(id).filling) == (AMERICAN["formulation"], SWISS["formulation"])
    again = keeper.get(asked(pairing(id, AMERICAN, SWISS), pairing(id, AMERICAN, FRENCH)))
    assert "chosen" in [row for row in rows(again) if row[0] == "The choice"][0]


def test_a_choice_made_from_an_old_page_is_told(keeper: PageClient, kept: Consultations) -> None:
    id = keep(keeper.client)
    page = keeper.get(asked(pairing(id, AMERICAN, SWISS), pairing(id, AMERICAN, FRENCH)))
    address = f"/consultations/{id}/choice"
    kept.choose(id, AMERICAN["formulation"], FRENCH["formulation"], 1)
    told = shown(keeper.client.post(address, data=as_sent_by(page, address)))
    assert told.status == 409
    assert kept.get(id).filling == FRENCH["formulation"]


def test_kept_briefs_are_compared_with_what_was_asked_differently(keeper: PageClient) -> None:
    ids = [keep(keeper.client, brief=BRIEF.replace("31", warmest)) for warmest in ("31", "26", "22")]
    table = {row[0]: row[1:] for row in rows(keeper.get(asked(*ids)))}
    assert table["Warmest air"] == ["31 °C", "26 °C", "22 °C"]
    assert "Piped detail" not in table
    assert "The same for all" in table and "Verdict of the advice" not in table


def test_the_verdict_is_told_beside_the_heat_of_another_pairing_than_the_advised(
    keeper: PageClient, kept: Consultations
) -> None:
    ids = [keep(keeper.client) for _ in range(2)]
    kept.choose(ids[0], SWISS["formulation"], FRENCH["formulation"], 1)
    table = {row[0]: row[1:] for row in rows(keeper.get(asked(*ids)))}
    assert table["Verdict of the advice"] == ["Holds", "Holds"]
    assert table["In the heat"] == ["Does not hold", "Holds"]


def test_what_was_asked_is_told_with_its_unit(keeper: PageClient) -> None:
    # Seen to fail: the hours were a bare "4.5", and nobody on the road drove "0".
    longer = BRIEF.replace("hold_hours=3", "hold_hours=4.5")
    ids = [keep(keeper.client, brief=brief) for brief in (BRIEF + "&travel_minutes=45", longer)]
    table = {row[0]: row[1:] for row in rows(keeper.get(asked(*ids)))}
    assert table["Minutes on the road"] == ["45 min", "none"]
    assert table["Hours on display"] == ["3 h", "4 h 30 min"]


def test_a_verdict_and_a_class_of_heat_bear_their_mark(keeper: PageClient, kept: Consultations) -> None:
    ids = [keep(keeper.client, brief=BRIEF.replace("31", warmest)) for warmest in ("31", "22")]
    kept.choose(ids[0], AMERICAN["formulation"], FRENCH["formulation"], 1)
    page = keeper.get(asked(*ids))
    marked = [page.text(span) for span in page.all("span") if "verdict-said" in span.get("class", "")]
    assert len(marked) == 4 and set(marked) <= {"Holds", "May not hold", "No coat holds", "Does not hold"}


@pytest.mark.parametrize("times", [0, 1, 5])
def test_fewer_than_two_and_more_than_four_are_not_compared(keeper: PageClient, times: int) -> None:
    ids = [keep(keeper.client) for _ in range(times)]
    page = keeper.get(asked(*ids), 422)
    assert "Tick two to four" in page.text()


def test_what_was_never_compared_or_is_not_there_is_not_shown(keeper: PageClient) -> None:
    id = keep(keeper.client)
    for other in ("0" * 32, f"{id}.mud.mud", f"{id}..", "…"):
        keeper.get(asked(id, other), 404)


def test_an_option_whose_formula_is_no_longer_known_is_still_listed(keeper: PageClient, kept: Consultations) -> None:
    id = keep(keeper.client)
    kept.choose(id, "of-long-ago", "of-long-ago", 1)
    table = {row[0]: row[1:] for row in rows(keeper.get(asked(id, pairing(id, AMERICAN, SWISS))))}
    assert table["Sweetness"][0] == "not known any more" and table["Sweetness"][1] != "not known any more"
