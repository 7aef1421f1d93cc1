"""A page as a reader or a screen reader meets it, parsed strictly and checked whenever it is fetched."""

from __future__ import annotations

from collections import Counter
from xml.etree.ElementTree import Element

import html5lib
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

UNLABELLED_TYPES = {"hidden", "submit", "button"}


class Page:
    """One fetched page."""

    def __init__(self, response: TestResponse) -> None:
        self.response, self.status = response, response.status_code
        self.html = response.get_data(as_text=True)
        parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
        self.root: Element = parser.parse(self.html)

    def all(self, tag: str) -> list[Element]:
        return [element for element in self.root.iter() if element.tag == tag]

    def text(self, element: Element | None = None) -> str:
        whole = self.root.find("body") if element is None else element
        assert whole is not None
        return " ".join(" ".join(whole.itertext()).split())

    def by_id(self, wanted: str) -> Element:
        return next(element for element in self.root.iter() if element.get("id") == wanted)

    def value(self, name: str) -> str | None:
        return next(field.get("value") for field in self.all("input") if field.get("name") == name)

    def form_pairs(self, form_id: str = "brief") -> list[tuple[str, str]]:
        """List what the browser would send if the form were sent as it stands."""
        form = self.by_id(form_id)
        pairs: list[tuple[str, str]] = []
        for field in form.iter():
            pairs += _sent(field)
        return pairs


def _sent(field: Element) -> list[tuple[str, str]]:
    name = field.get("name")
    if name is None:
        return []
    if field.tag == "select":
        chosen = [o for o in field.iter("option") if o.get("selected") is not None] or [*field.iter("option")]
        return [(name, chosen[0].get("value", ""))]
    is_off = field.get("type") in ("checkbox", "radio") and field.get("checked") is None
    return [] if field.tag != "input" or is_off else [(name, field.get("value", ""))]


class PageClient:
    """A client that checks every page that any test fetches, and that the links on it lead somewhere."""

    def __init__(self, client: FlaskClient) -> None:
        self.client = client
        self.resolved: dict[str, Page | None] = {}

    def get(self, address: str, status: int = 200, follow: bool = False) -> Page:
        page = Page(self.client.get(address, follow_redirects=follow))
        assert page.status == status, f"{address}: {page.status}"
        check_page(page)
        self._check_links(page)
        return page

    def _check_links(self, page: Page) -> None:
        for link in page.all("a"):
            path, _, anchor = link.get("href", "").partition("#")
            target = page if not path else self._resolve(path)
            if anchor:
                assert target is not None, f"{path} is a download"
                ids = {element.get("id") for element in target.root.iter()}
                assert anchor in ids, f"{path}#{anchor} leads nowhere"

    def _resolve(self, path: str) -> Page | None:
        """Fetch what a link leads to; none for a download."""
        assert path.startswith("/"), f"{path} leaves the site"
        if path not in self.resolved:
            response = self.client.get(path)
            assert response.status_code == 200, f"{path}: {response.status_code}"
            self.resolved[path] = Page(response) if response.mimetype == "text/html" else None
        return self.resolved[path]


def check_page(page: Page) -> None:
    """Hold a page to what every page must keep."""
    assert page.response.mimetype == "text/html"
    assert len(page.all("h1")) == 1
    assert all(page.text(title) for title in page.all("title")) and page.all("title")
    ids = Counter(element.get("id") for element in page.root.iter() if element.get("id"))
    assert [name for name, times in ids.items() if times > 1] == []
    _check_labels(page, set(ids))
    _check_references(page, set(ids))
    _check_nothing_inline(page)


def _check_labels(page: Page, ids: set[str | None]) -> None:
    # Seen to fail with the <label> of the form's entries turned into <b>: "air_high_c has no label".
    labelled = {label.get("for") for label in page.all("label")}
    for field in (*page.all("input"), *page.all("select"), *page.all("textarea")):
        if field.get("type") not in UNLABELLED_TYPES:
            assert field.get("id") in labelled, f"{field.get('name')} has no label"
    for group in page.all("fieldset"):
        assert group.find("legend") is not None
    for button in page.all("button"):
        assert page.text(button)


def _check_references(page: Page, ids: set[str | None]) -> None:
    for element in page.root.iter():
        for attribute in ("for", "aria-describedby", "aria-labelledby"):
            for wanted in element.get(attribute, "").split():
                assert wanted in ids, f"{attribute}={wanted} points at nothing"


def _check_nothing_inline(page: Page) -> None:
    for element in page.root.iter():
        assert element.tag != "style"
        assert element.tag != "script" or element.get("src")
        assert not [name for name in element.attrib if name == "style" or str(name).startswith("on")]
