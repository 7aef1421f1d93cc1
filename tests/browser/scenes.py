"""Pages that have an address only once something is kept, and forms that are refused: each by the way that leads there.

A scene brings a page to its state; what it needs to be kept was kept by ``keep_all`` or by the log-in before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from playwright.sync_api import Page

from tests.browser.states import GARDEN, NOON

Scene = Callable[[Page], None]
OWNER, PASSWORD = "Olive", "flour butter sugar"
LONG_CLIENT = "Maximiliane Featherstonehaugh-Wolfeschlegelsteinhausen"
LONG_EVENT = "Golden anniversary of the village choir, with a procession, in the walled garden behind the old mill"
CAKES = {
    "Ada": ("Wedding in the garden", "2027-06-26", GARDEN),
    "Ben": ("Sixtieth birthday", "2027-07-03", NOON),
    LONG_CLIENT: (LONG_EVENT, "", "setting=indoors&air_high_c=22&hold_hours=4&cupcakes=48"),
}


def submit(page: Page, action: str) -> None:
    """Send the form that goes to an address, by its own button."""
    page.locator(f'form[action$="{action}"] button').first.click()
    page.wait_for_load_state()


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name).first.click()
    page.wait_for_load_state()


def keep(page: Page, server: str, client: str, event: str, day: str, brief: str) -> str:
    page.goto(f"{server}/consultations/new?{brief}")
    page.locator("#client").fill(client)
    page.locator("#event").fill(event)
    page.locator("#event_date").fill(day)
    press(page, "Keep this")
    return page.url.partition("?")[0]


def note(page: Page, address: str, hours: str, is_lost: bool, remark: str = "") -> None:
    page.goto(f"{address}/after")
    page.get_by_label("Its look was lost" if is_lost else "It still had its look when it was cut").check()
    page.get_by_label("Hours on the table until then").fill(hours)
    page.get_by_label("Remark").fill(remark)
    press(page, "Keep this note")


def keep_all(page: Page, server: str) -> dict[str, str]:
    """Keep three consultations and what may hang on one; return the addresses by client."""
    kept = {client: keep(page, server, client, *cake) for client, cake in CAKES.items()}
    note(page, kept["Ada"], "2", False, "Cut early: still crisp, though the sun had come round the tree.")
    note(page, kept["Ada"], "1.5", True)
    return kept


def boxes(page: Page, address: str, count: int) -> str:
    page.goto(address)
    names = page.locator('input[name="of"]').evaluate_all("boxes => boxes.map(box => box.value)")
    return "&".join(f"of={name}" for name in names[:count])


def kept_scenes(server: str, kept: Mapping[str, str]) -> dict[str, Scene]:
    """Scenes of what is kept."""
    ada, ben, long = (kept[client] for client in CAKES)

    def at(address: str) -> Scene:
        return lambda page: void(page.goto(address))

    def comparing(address: str, count: int) -> Scene:
        return lambda page: void(page.goto(f"{server}/compare?{boxes(page, address, count)}"))

    def refused(address: str, action: str, typed: Mapping[str, str]) -> Scene:
        def go(page: Page) -> None:
            page.goto(address)
            page.evaluate("document.querySelectorAll('form').forEach(form => form.noValidate = true)")
            for element, text in typed.items():
                page.locator(element).fill(text)
            submit(page, action)

        return go

    def linked(page: Page) -> str:
        page.goto(f"{ada}/sheet")
        press(page, "Make a link")
        return page.get_by_label("The new link").input_value()

    def deleted(page: Page) -> None:
        page.goto(ben)
        press(page, "Delete")

    def restored(page: Page) -> None:
        page.goto(f"{server}/consultations?show=deleted")
        press(page, "Bring back")

    def stale(page: Page) -> None:
        page.goto(ada)
        page.locator("#event").fill("Wedding in the orchard")
        page.evaluate("document.querySelector('#names [name=revision]').value = '0'")
        submit(page, ada.removeprefix(server))

    return {
        "consultations-three": at(f"{server}/consultations"),
        "consultations-search-none": at(f"{server}/consultations?q=nobody"),
        "consultation": at(ada),
        "consultation-anew": at(f"{ada}?anew=1"),
        "consultation-no-coat-holds": at(ben),
        "consultation-long": at(long),
        "consultation-errors": refused(ada, ada.removeprefix(server), {"#client": "", "#event": ""}),
        "consultation-brief": at(f"{ada}/brief"),
        "consultation-stale": stale,
        "keep-errors": refused(f"{server}/consultations/new?{GARDEN}", "/consultations", {"#client": ""}),
        "compare-two": comparing(ada, 2),
        "compare-four": comparing(ada, 4),
        "compare-events": comparing(f"{server}/consultations", 3),
        "sheet": at(f"{ada}/sheet"),
        "sheet-new-link": lambda page: void(linked(page)),
        "sheet-long": at(f"{long}/sheet"),
        "client-sheet": lambda page: void(page.goto(linked(page))),
        "client-sheet-us": lambda page: void(page.goto(f"{linked(page)}?units=us")),
        "link-closed": at(f"{server}/s/none"),
        "after": at(f"{ada}/after"),
        "after-empty": at(f"{ben}/after"),
        "after-errors": refused(f"{ben}/after", "/after", {"#hold_hours": "soon"}),
        "events": at(f"{server}/events"),
        "archived": lambda page: void(page.goto(long), press(page, "Put into the archive")),
        "consultations-archived": at(f"{server}/consultations?show=archived"),
        "unarchived": lambda page: void(page.goto(long), press(page, "Take it out")),
        "deleted-undo": deleted,
        "consultations-deleted": at(f"{server}/consultations?show=deleted"),
        "consultation-deleted": at(ben),
        "restored": restored,
    }


def void(*_: object) -> None:
    """Take what was done; a scene is for its page."""


def enter(page: Page, server: str, password: str = PASSWORD) -> None:
    page.goto(f"{server}/log-in")
    page.locator("#name").fill(OWNER)
    page.locator("#password").fill(password)
    press(page, "Log in")


def shop_scenes(server: str) -> dict[str, Scene]:
    """Scenes of a shop with accounts; the first ones of a stranger."""

    def listed(page: Page) -> None:
        page.goto(f"{server}/accounts")
        if not page.get_by_role("link", name="Stan", exact=True).count():
            page.locator("#name").fill("Stan")
            page.locator("#password").fill(PASSWORD)
            press(page, "Make the account")

    def refused(page: Page) -> None:
        page.goto(f"{server}/accounts")
        page.locator("#name").fill(OWNER)
        page.locator("#password").fill("short")
        press(page, "Make the account")

    def one(page: Page) -> None:
        page.goto(f"{server}/accounts")
        page.get_by_role("link", name=OWNER).click()

    def last_owner(page: Page) -> None:
        one(page)
        page.get_by_label("Yes, Olive goes for good").check()
        press(page, "Remove Olive")

    def wrong_password(page: Page) -> None:
        page.goto(f"{server}/password")
        page.locator("#current").fill("wrong one")
        page.locator("#password").fill("another password")
        press(page, "Change the password")

    def logged_out(page: Page) -> None:
        one(page)
        page.context.clear_cookies(name="login")
        press(page, "Change the role")

    return {
        "log-in": lambda page: void(page.goto(f"{server}/log-in")),
        "log-in-errors": lambda page: enter(page, server, "not this"),
        "logged-in": lambda page: enter(page, server),
        "accounts": listed,
        "accounts-errors": refused,
        "account": one,
        "account-errors": last_owner,
        "password": lambda page: void(page.goto(f"{server}/password")),
        "password-done": lambda page: void(page.goto(f"{server}/password?done=yes")),
        "password-errors": wrong_password,
        "send-again": logged_out,
    }
