"""The client's sheet: on paper, as PDF by the browser's own print, and behind a link that opens nothing else."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from flask import Blueprint, Flask, abort, make_response, redirect, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response

from webapp.advice.leaving import minutes_out_before
from webapp.advice.service import Advisor
from webapp.catalogue.model import Catalogue
from webapp.errors import BriefError
from webapp.pages.advisor import current_catalogue
from webapp.pages.guard import linked, may
from webapp.pages.kept_advice import Kept, kept_of
from webapp.pages.link_tokens import signed
from webapp.pages.send_again import filled_by
from webapp.pages.sheet_words import Sheet, sheet_of
from webapp.pages.shop import current_records, own_origin
from webapp.pages.shop_advice import current_service
from webapp.pages.units_switch import COOKIE as UNITS
from webapp.pages.units_switch import reader_measures
from webapp.records.columns import utc_now
from webapp.records.links import NewLink, is_open
from webapp.records.model import Link
from webapp.units import METRIC

LASTS: Mapping[str, str] = {"7": "1 week", "30": "1 month", "90": "3 months", "365": "1 year"}
USUALLY = "30"

blueprint = Blueprint("sheet", __name__)
links = Blueprint("links", __name__)


@dataclass(frozen=True, slots=True)
class LinkRow:
    """One link of a consultation as the shop sees it; what it opens cannot be read from it."""

    id: str
    made: dt.datetime
    ends: dt.datetime
    state: str
    is_open: bool


@blueprint.get("/consultations/<id>/sheet")
@may("staff")
def show(id: str) -> Response:
    return _page(id)


@blueprint.post("/consultations/<id>/links")
@may("staff")
def make_link(id: str) -> Response:
    days = request.form.get("days", "")
    if days not in LASTS:
        return _page(id, problem="Choose from the list how long the link opens.", status=422)
    filled_by(lambda told: _page(id, problem=told.text, status=503))
    made = current_records().links.make(id, dt.timedelta(days=int(days)))
    return _page(id, address=_address(made), ends=made.link.expires_at)


@blueprint.post("/consultations/<id>/links/<link>/revoke")
@may("staff")
def revoke_link(id: str, link: str) -> Response:
    kept = current_records().links
    if link not in {each.id for each in kept.of_consultation(id)}:
        abort(404)
    kept.revoke(link)
    return redirect(f"/consultations/{id}/sheet#links-title", 303)


def _page(
    id: str, address: str = "", ends: dt.datetime | None = None, problem: str = "", status: int = 200
) -> Response:
    records = current_records()
    kept = kept_of(records.consultations.get(id))
    page = render_template(
        "sheet.html",
        record=kept.record,
        sheet=_sheet(kept),
        rows=[_row(link) for link in records.links.of_consultation(id)],
        new_address=address,
        new_ends=ends,
        lasts=LASTS,
        usually=request.form.get("days", USUALLY),
        problem=problem,
    )
    response = make_response(page, status)
    response.cache_control.no_store = True
    return response


def _address(made: NewLink) -> str:
    """Write the link; it names the shop's units, as the client's browser has none of ours."""
    measures = reader_measures()
    units = "" if measures == METRIC else f"?{UNITS}={measures.name}"
    return f"{own_origin()}/s/{signed(made.token)}{units}"


def _row(link: Link) -> LinkRow:
    opens = is_open(link, utc_now())
    state = "opens" if opens else "revoked" if link.revoked_at else "ended"
    return LinkRow(link.id, link.created_at, link.expires_at, state, opens)


@links.get("/s/<token>")
@may("link")
def open_link(token: str) -> Response:
    sheet = _sheet(kept_of(linked()))
    response = make_response(render_template("client_sheet.html", sheet=sheet))
    response.cache_control.no_store = True
    response.headers["X-Robots-Tag"] = "noindex, nofollow"
    return response


@links.errorhandler(404)
def say_closed(error: HTTPException) -> Response:
    """Say the same of a link that is wrong, over or revoked, and lead nowhere."""
    response = make_response(render_template("link_closed.html"), 404)
    response.cache_control.no_store = True
    response.headers["X-Robots-Tag"] = "noindex, nofollow"
    return response


def _sheet(kept: Kept) -> Sheet | None:
    return sheet_of(kept, reader_measures(), _catalogue_of(kept), _out_before(kept))


def _catalogue_of(kept: Kept) -> Catalogue:
    entered = _entered(kept)
    return entered.catalogue if entered else current_catalogue()


def _entered(kept: Kept) -> Advisor | None:
    """Return the advisor with the formulas of the kept brief; none where they cannot be entered any more."""
    try:
        return current_service().entering(kept.brief) if kept.brief else None
    except BriefError:
        return None


def _out_before(kept: Kept) -> int | None:
    """Return when the plan of the work takes the chosen cake out of the fridge; none where there is no such plan."""
    entered, pair = _entered(kept), kept.chosen or kept.advised
    if entered is None or kept.brief is None or pair is None:
        return None
    coat, filling = (entered.catalogue.formulations.get(each) for each in pair)
    if coat is None or filling is None:
        return None
    now = dt.datetime.now().astimezone()  # the clock is read here, at the border
    return minutes_out_before(entered, kept.brief, coat, filling, now=now)


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
    app.register_blueprint(links)
