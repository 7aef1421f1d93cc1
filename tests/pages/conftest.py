from __future__ import annotations

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.pages.page import PageClient
from tests.pages.sample_advice import sample_advisor
from webapp import create_app
from webapp.config import Config


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app(Config(), advise_as=sample_advisor)


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
