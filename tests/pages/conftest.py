from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.pages.page import Page, PageClient
from tests.pages.sample_advice import sample_advisor
from tests.records.conftest import postgres_server, postgres_url, prepared
from webapp import create_app
from webapp.config import Config
from webapp.pages.shop import records_of
from webapp.records.consultations import Consultations

__all__ = ["postgres_server", "postgres_url"]  # the storage tests' server, for pages that run on both databases


@pytest.fixture(scope="session")
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    return create_app(Config(records_dir=tmp_path_factory.mktemp("kept")), advise_as=sample_advisor)


@pytest.fixture
def browser(app: Flask) -> FlaskClient:
    """A bare client for what is no page: JSON, redirects, headers."""
    return app.test_client()


Linked = dict[str, Page | None]


@pytest.fixture(scope="module")
def linked() -> Linked:
    """What the links on the pages of a module lead to: each is fetched and checked once, not once a test.

    For readers of one application in one habit of units, where no test takes away what a link of another leads to.
    """
    return {}


@pytest.fixture(scope="module")
def us_linked() -> Linked:
    return {}


def reader_of(app: Flask, linked: Linked, units: str = "") -> PageClient:
    """Give a fresh browser that checks pages, and knows of the links what those before it have found."""
    bare = app.test_client()
    if units:
        bare.set_cookie("units", units, domain="localhost")
    made = PageClient(bare)
    made.resolved = linked
    return made


@pytest.fixture
def client(app: Flask, linked: Linked) -> PageClient:
    return reader_of(app, linked)


@pytest.fixture
def us_client(app: Flask, us_linked: Linked) -> PageClient:
    return reader_of(app, us_linked, "us")


@pytest.fixture
def keeping(app: Flask, tmp_path: Path) -> Iterator[Flask]:
    """The same with records of its own, which nothing is in yet."""
    made = create_app(Config(records_dir=prepared(tmp_path / "kept")), app.extensions["catalogue"], sample_advisor)
    yield made
    records_of(made).close()


@pytest.fixture
def keeper(keeping: Flask) -> PageClient:
    return PageClient(keeping.test_client())


@pytest.fixture
def kept(keeping: Flask) -> Consultations:
    return records_of(keeping).consultations
