"""The pictures by the address of their brief, and the page of the map. The drawing library loads with the first."""

from __future__ import annotations

from flask import Blueprint, Flask, Response, abort, make_response, redirect, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from webapp.advice.brief import Brief
from webapp.advice.heat_map import HeatMap
from webapp.advice.map_words import map_lines, map_sentences, map_summary, needed_h
from webapp.errors import BriefError
from webapp.pages.advice_page import brief_pairs, canonical, refused_page
from webapp.pages.advisor import current_advisor, current_mapper
from webapp.pages.brief_address import address_of, brief_of, pairs_of
from webapp.pages.guard import may
from webapp.pages.headers import allow_own_style
from webapp.pages.picture_texts import COURSE, MAP, MAP_PAGE, map_picture
from webapp.pages.pictures.size import Sheet
from webapp.pages.units_switch import reader_measures
from webapp.units import Measures

KEPT_S = 300
SHEET = "sheet"

blueprint = Blueprint("pictures", __name__)


def _asked() -> tuple[Brief, Measures, Sheet]:
    pairs = [pair for pair in brief_pairs() if pair[0] != SHEET]
    return brief_of(pairs), reader_measures(), "narrow" if request.args.get(SHEET) == "narrow" else "wide"


def _svg(drawn: bytes) -> Response:
    response = make_response(drawn)
    response.mimetype = "image/svg+xml"
    response.cache_control.private = True
    response.cache_control.max_age = KEPT_S
    response.vary.add("Cookie")  # where the address names no units, they are the reader's
    response.add_etag()
    allow_own_style(response)
    return response.make_conditional(request)  # type: ignore[return-value]  # it returns itself


@blueprint.get(COURSE)
@may("staff")
def course() -> Response:
    brief, measures, sheet = _asked()
    advice = current_advisor()(brief, measures)
    if advice.course is None or advice.hold is None:
        abort(404)
    from webapp.pages.pictures.course import draw_course

    return _svg(draw_course(advice, measures, sheet))


@blueprint.get(MAP)
@may("staff")
def heat_map() -> Response:
    brief, measures, sheet = _asked()
    known = current_mapper()(brief)
    if known is None:
        abort(404)
    from webapp.pages.pictures.heat_map import draw_heat_map

    return _svg(draw_heat_map(known, measures, sheet))


@blueprint.get(MAP_PAGE)
@may("staff")
def map_page() -> AnyResponse:
    pairs, measures = brief_pairs(), reader_measures()
    try:
        brief = brief_of(pairs)
        if pairs != pairs_of(brief):
            return redirect(canonical(brief, MAP_PAGE), 303)
        known = current_mapper()(brief)
    except BriefError as refused:
        return refused_page(pairs, refused, measures)
    return make_response(_map_page(brief, known, measures))


def _map_page(brief: Brief, known: HeatMap | None, measures: Measures) -> str:
    return render_template(
        "heat_map.html",
        brief=brief,
        advice_address=address_of(brief),
        change_address=address_of(brief, "/"),
        needed_h=None if known is None else needed_h(known),
        picture=None if known is None else map_picture(brief, map_summary(known, measures), measures),
        sentences=[] if known is None else map_sentences(known, measures),
        lines=[] if known is None else map_lines(known, measures),
    )


@blueprint.errorhandler(BriefError)
def refuse(refused: BriefError) -> Response:
    """A picture of a bad brief is a text that says what is wrong: nothing reads a page in an image."""
    lines = [f"{p.field}: {p.problem}. What fits: {p.allowed}" for p in refused.problems]
    response = make_response("\n".join(lines) + "\n", 422)
    response.mimetype = "text/plain"
    return response


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
