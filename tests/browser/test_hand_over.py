"""From a tasting to the sheet in the client's hands, opened by someone who is not logged in, to the note afterwards."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations_in_each_view
from tests.browser.conftest import Visitor
from tests.browser.live import running_shop
from tests.browser.sizes import DESKTOP, NARROWEST, PHONE, TABLET, resize, too_narrow
from tests.browser.test_paper import PX_PER_PT, SHEETS, SMALLEST, SMALLEST_PT, sides

pytestmark = pytest.mark.browser

OWNER, PASSWORD = "Olive", "flour butter sugar"
CLIENT = "Zenobia Quill"
GARDEN = (
    "setting=shade&air_high_c=29&hold_hours=3&travel_minutes=45&tiers-0-width_cm=22&tiers-1-width_cm=15&piping=rosettes"
)
# The longest sheet: three tiers, fine work, egg, and guests who call for every caution.
LONGEST = (
    "setting=sun&air_high_c=27&hold_hours=3&travel_minutes=45&tiers-0-width_cm=30&tiers-1-width_cm=22"
    "&tiers-2-width_cm=15&piping=fine&diet=tree-nut-free&humidity_pct=85&sweetness=1"
)


@pytest.fixture(scope="module")
def shop() -> Iterator[str]:
    with running_shop(OWNER, PASSWORD) as address:
        yield address


@pytest.fixture
def at_shop(chromium: Browser, shop: str) -> Iterator[Visitor]:
    visitor = Visitor(chromium, shop)
    yield visitor
    for context in visitor.contexts:
        context.close()
    assert visitor.troubles == []


@pytest.fixture(scope="module")
def owners_log_in(chromium: Browser, shop: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Log in once for all tests that begin as the owner."""
    visitor, kept = Visitor(chromium, shop), tmp_path_factory.mktemp("log-in") / "owner.json"
    log_in(visitor, "/consultations").context.storage_state(path=kept)
    visitor.contexts[0].close()
    assert visitor.troubles == []
    return kept


@pytest.fixture
def owner(chromium: Browser, shop: str, owners_log_in: Path) -> Iterator[Visitor]:
    """Give a visitor whose every window is the owner's, where ``at_shop`` gives a stranger."""
    visitor = Visitor(chromium, shop, owners_log_in)
    yield visitor
    for context in visitor.contexts:
        context.close()
    assert visitor.troubles == []


def log_in(at_shop: Visitor, address: str, scripts: bool = True) -> Page:
    """Open an address as the owner, who is asked to log in on the way there."""
    page = at_shop.open(address, scripts=scripts)
    page.get_by_label("Name").fill(OWNER)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("button", name="Log out")).to_be_visible()
    return page


def keep(page: Page, event: str) -> str:
    """Keep the advice on the page; return the address of its consultation."""
    page.get_by_role("link", name="Keep this").click()
    page.get_by_label("Client").fill(CLIENT)
    page.get_by_label("Event", exact=True).fill(event)
    page.get_by_role("button", name="Keep this").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(event)
    return page.url.partition("?")[0]


def new_link(page: Page) -> str:
    page.get_by_role("button", name="Make a link").click()
    made = page.get_by_label("The new link").input_value()
    page.wait_for_load_state()
    return made


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_from_a_tasting_to_the_clients_hands_to_the_note_after_the_event(at_shop: Visitor, scripts: bool) -> None:
    page = log_in(at_shop, f"/advice?{GARDEN}", scripts)
    page.wait_for_load_state()
    advised = page.locator(".pairing .duo dd:not(.what)").all_inner_texts()
    assert len(advised) == 2
    keep(page, "Garden wedding")

    ticks = page.locator("#choice input[type=checkbox]")
    for place in (0, 1):
        ticks.nth(place).check()
    page.get_by_role("button", name="Compare those ticked").click()
    expect(page).to_have_url(re.compile("/compare"))
    page.get_by_role("button", name=re.compile("^Choose")).nth(1).click()
    chosen = page.locator("#choice p strong").first.inner_text()

    page.get_by_role("link", name="The client’s sheet").click()
    address = new_link(page)
    assert address.startswith(f"{at_shop.server}/s/")

    client = at_shop.open(address, PHONE, scripts)
    assert client.context.cookies() == [] or "login" not in {each["name"] for each in client.context.cookies()}
    expect(client.get_by_role("heading", level=1)).to_have_text("Garden wedding")
    said = client.locator("body").inner_text().replace("\xa0", " ")
    for needed in (CLIENT, "On the day", "Allergens in the buttercream", "How long it may stand, and where"):
        assert needed in said
    names = client.locator(".client-sheet .duo dd:not(.what)").all_inner_texts()
    assert len(names) == 2 and names != advised
    assert client.get_by_role("link").count() == client.get_by_role("button").count() == 0
    assert any(name.partition(",")[0] in chosen for name in names)

    page.get_by_role("link", name="After the event").first.click()
    page.get_by_label("It still had its look when it was cut").check()
    page.get_by_label("Hours on the table until then").fill("2.5")
    page.get_by_label("Warmest air while it stood").fill("27")
    page.get_by_label("Remark").fill("Cut early, still crisp.")
    page.get_by_role("button", name="Keep this note").click()
    noted = page.get_by_role("region", name="Noted")
    expect(noted).to_contain_text("Rosettes: still there when it was cut after 2")
    noted.get_by_role("link", name="What all events say").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What your events taught")
    expect(page.locator("main")).to_contain_text(re.compile("Yours, from [12] events?"))


def test_whoever_has_the_link_reaches_nothing_else_and_a_revoked_one_nothing(owner: Visitor, at_shop: Visitor) -> None:
    page = owner.open(f"/advice?{GARDEN}")
    kept = keep(page, "Naming day")
    page.get_by_role("link", name="The client’s sheet").click()
    address = new_link(page)

    client = at_shop.open(address, refusal=404)
    expect(client.get_by_role("heading", level=1)).to_have_text("Naming day")
    for place in (kept, f"{kept}/sheet", f"{kept}/after", "/consultations", "/events", "/"):
        client.goto(place)
        expect(client.get_by_role("heading", level=1)).to_have_text("Log in")
        assert "Naming day" not in client.content()

    page.get_by_role("button", name="Revoke").click()
    expect(page.locator("main")).to_contain_text("; revoked")
    client.goto(address)
    expect(client.get_by_role("heading", level=1)).to_have_text("This link does not open")
    tampered = address[:-3] + ("aaa" if not address.endswith("aaa") else "bbb")
    client.goto(tampered)
    expect(client.get_by_role("heading", level=1)).to_have_text("This link does not open")


def test_what_events_taught_is_used_where_the_owner_switches_it_on(owner: Visitor) -> None:
    page = owner.open(f"/advice?{GARDEN}")
    kept = keep(page, "Street party")
    page.goto(f"{kept}/after")
    page.get_by_label("Which coat was on it?").select_option("Italian, all butter")
    page.get_by_label("Its look was lost").check()
    page.get_by_label("Hours on the table until then").fill("1")
    page.get_by_role("button", name="Keep this note").click()
    page.goto(f"/advice?{GARDEN}")
    assert page.get_by_role("heading", name="From your own events").count() == 0
    page.goto("/events")
    page.get_by_role("button", name="Use yours for Italian, all butter").click()
    page.goto(f"/advice?{GARDEN}")
    learnt = page.get_by_role("region", name="From your own events")
    expect(learnt).to_contain_text("Italian, all butter is taken to soften at")
    page.goto("/events")
    page.get_by_role("button", name="Use ours for Italian, all butter").click()
    page.goto(f"/advice?{GARDEN}")
    assert page.get_by_role("heading", name="From your own events").count() == 0


@pytest.mark.parametrize(
    "brief", [GARDEN, LONGEST, "tiers=&cupcakes=48&air_high_c=22"], ids=["two tiers", "longest", "cupcakes"]
)
def test_the_sheet_is_one_side_of_paper_that_can_be_read(owner: Visitor, at_shop: Visitor, brief: str) -> None:
    page = owner.open(f"/advice?{brief}")
    keep(page, "Golden anniversary of the village choir")
    page.get_by_role("link", name="The client’s sheet").click()
    client = at_shop.open(new_link(page))
    for sheet in SHEETS:
        assert sides(page, sheet) == 1
        assert sides(client, sheet) == 1
    client.set_viewport_size({"width": round(min(SHEETS.values())), "height": 1000})
    client.emulate_media(media="print")
    smallest, text = client.evaluate(SMALLEST)
    assert smallest >= SMALLEST_PT * PX_PER_PT, text
    page.emulate_media(media="print")
    said = page.locator("body").inner_text()
    assert "On the day" in said and "Allergens in the buttercream" in said
    assert "Make a link" not in said and "Revoke" not in said


def test_axe_finds_nothing_and_nothing_runs_off_the_side(owner: Visitor) -> None:
    page = owner.open(f"/advice?{GARDEN}")
    kept = keep(page, "Midsummer")
    page.goto(f"{kept}/after")
    page.get_by_label("Its look was lost").check()
    page.get_by_label("Hours on the table until then").fill("1")
    page.get_by_role("button", name="Keep this note").click()
    page.goto(f"{kept}/sheet")
    link = new_link(page)
    for address in (f"{kept}/sheet", f"{kept}/after", "/events", link):
        resize(page, NARROWEST)
        page.goto(address)
        assert too_narrow(page, (NARROWEST, PHONE, TABLET, DESKTOP)) == []
        assert violations_in_each_view(page) == ""
