from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.pages.page import PageClient
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


@pytest.fixture
def client(app: Flask) -> PageClient:
    return PageClient(app.test_client())


@pytest.fixture
def us_client(app: Flask) -> PageClient:
    bare = app.test_client()
    bare.set_cookie("units", "us", domain="localhost")
    return PageClient(bare)


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
