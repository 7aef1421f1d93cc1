"""A shop that others can reach, with an owner, someone on the staff and a client's event."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from pathlib import Path
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.pages.sample_advice import sample_advisor
from tests.pages.visiting import send
from tests.records.conftest import prepared, quick
from tests.records.samples import Clock, content
from webapp import create_app
from webapp.advice.brief import Brief, Tier
from webapp.advice.contract import Advice
from webapp.catalogue.model import Catalogue
from webapp.config import Config
from webapp.pages.kept_advice import advice_document, brief_document
from webapp.pages.link_tokens import signed
from webapp.pages.shop import records_of
from webapp.records.archive import export_archive
from webapp.records.columns import utc_now
from webapp.records.consultations import Content
from webapp.records.opening import open_records
from webapp.units import METRIC

ADDRESS = "https://cakes.example"
CLIENT = "Zenobia Quill"
OWNER, STAFF = "Olive", "Stan"
PASSWORD = "flour butter sugar"
SECRET = "not so secret, for tests are read by all"


class ShopClient(FlaskClient):
    """A browser that asks under the name of the shop."""

    def open(self, *args: Any, **given: Any) -> TestResponse:
        return super().open(*args, **{"base_url": ADDRESS, **given})


def open_shop(folder: Path, catalogue: Catalogue | None = None, database_url: str | None = None) -> Flask:
    config = Config(records_dir=folder, address=ADDRESS, secret=SECRET, database_url=database_url)
    clock = Clock(utc_now() - dt.timedelta(days=2))  # that of the accounts, which a log-in may be no older than
    records = quick(open_records(folder if database_url else prepared(folder), database_url), clock)
    records.accounts.add(OWNER, PASSWORD, "owner")
    records.accounts.add(STAFF, PASSWORD, "staff")
    made = records.consultations.add(event_of(Brief(tiers=(Tier(width_cm=20),), air_high_c=24)))
    app = create_app(config, catalogue, sample_advisor)
    app.test_client_class = ShopClient
    records_of(app).close()  # those that it opened to see that there is an account
    app.extensions.update(records=records, clock=clock)
    app.extensions["consultation_id"] = made.id
    return app


def event_of(brief: Brief) -> Content:
    advice = sample_advisor(brief, METRIC)
    return content(client=CLIENT, brief=brief_document(brief), advice=advice_document(advice), **_chosen(advice))


def _chosen(advice: Advice) -> dict[str, str]:
    assert advice.pairing
    return {"coat": advice.pairing.coat.formulation, "filling": advice.pairing.filling.formulation}


def visitor(app: Flask, name: str | None = None) -> FlaskClient:
    """Give a fresh browser, logged in if it has a name."""
    browser = app.test_client()
    if name is not None:
        response = log_in(browser, name)
        assert response.status_code == 303, response.get_data(as_text=True)
    return browser


def log_in(browser: FlaskClient, name: str, password: str = PASSWORD, back: str = "/") -> TestResponse:
    return send(browser, "/log-in", {"name": name, "password": password, "back": back}, page="/log-in")


def account_id(app: Flask, name: str) -> str:
    return next(account.id for account in records_of(app).accounts.list() if account.name == name)


def new_token(app: Flask, consultation_id: str, days: int = 7) -> str:
    with app.app_context():
        return signed(records_of(app).links.make(consultation_id, dt.timedelta(days=days)).token)


def kept(app: Flask) -> dict[str, bytes]:
    """Return all that is kept, by its table."""
    file = io.BytesIO()
    export_archive(records_of(app).storage, file)
    with zipfile.ZipFile(file) as archive:
        return {name.removesuffix(".jsonl"): archive.read(name) for name in archive.namelist()}
