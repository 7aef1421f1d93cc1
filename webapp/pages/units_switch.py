"""The reader's units: one switch on every page, remembered in a cookie."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Flask, Response, make_response, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from webapp.pages.guard import may
from webapp.pages.shop import is_behind_tls, own_page
from webapp.units import MEASURES, METRIC, Measures

COOKIE = "units"
A_YEAR_S = 365 * 24 * 3600

blueprint = Blueprint("units", __name__)


def reader_measures() -> Measures:
    """Return the measures that the address names, else those of the reader."""
    named = MEASURES.get(request.args.get(COOKIE, ""))
    return named or MEASURES.get(request.cookies.get(COOKIE, ""), METRIC)


def remember(response: AnyResponse, measures: Measures) -> None:
    response.set_cookie(COOKIE, measures.name, max_age=A_YEAR_S, httponly=True, samesite="Lax", secure=is_behind_tls())


@dataclass(frozen=True, slots=True)
class Habit:
    """One choice of the switch: what it is called, and what it means."""

    name: str
    label: str
    meaning: str


HABITS = (
    Habit("metric", "Metric", "°C, centimetres, grams"),
    Habit("us", "US", "°F, inches, ounces and cups"),
    Habit("uk", "UK", "°C, inches, grams, miles an hour"),
)


def _without_units(address: str) -> str:
    """Drop measures that the address names, which would overrule the choice just made."""
    page, mark, query = address.partition("?")
    kept = "&".join(pair for pair in query.split("&") if not pair.startswith(f"{COOKIE}="))
    return page + (mark + kept if kept else "")


@blueprint.post("/units")
@may("anyone", changes=False)
def switch() -> Response:
    chosen = MEASURES.get(request.form.get("units", ""), METRIC)
    response = make_response(redirect(_without_units(own_page(request.form.get("back", "/"))), 303))
    remember(response, chosen)
    return response


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
