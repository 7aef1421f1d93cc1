"""The brief as a form, and the advice that an address asks for."""

from __future__ import annotations

import json
from collections.abc import Collection
from typing import Any

from flask import Blueprint, Flask, make_response, redirect, render_template, request
from werkzeug.wrappers import Response

from webapp.advice.brief import Brief, Tier, read_brief
from webapp.advice.contract import Advice, LeverOut
from webapp.errors import BriefError
from webapp.pages.advice_rows import allergen_sources, food_safety, handling, parts_in_one, ruled_out, tied
from webapp.pages.advisor import current_advisor, current_catalogue
from webapp.pages.brief_address import Pair, address_of, brief_of, pairs_of
from webapp.pages.brief_form import changed_rows, filled_form
from webapp.pages.cutaway import Sizes, scene_of
from webapp.pages.examples import EXAMPLES
from webapp.pages.formatters import pairing_in_words
from webapp.pages.guard import may
from webapp.pages.next_steps import firmer_address, next_steps, own_choice
from webapp.pages.picture_texts import MAP_PAGE, course_picture, course_rows, other_tiers
from webapp.pages.problem_texts import shown_problems
from webapp.pages.units_switch import reader_measures, remember
from webapp.units import MEASURES, Measures

PART = "X-Fragment"
CONTROLS = frozenset({"change", "units"})

blueprint = Blueprint("advice", __name__)


def brief_pairs() -> list[Pair]:
    """List what the address says of the brief; the measures it may name are the reader's matter."""
    return [pair for pair in request.args.items(multi=True) if pair[0] != "units"]


def canonical(brief: Brief, page: str = "/advice") -> str:
    """Write the one address of a page about a brief, in the measures that this address names."""
    address, units = address_of(brief, page), request.args.get("units", "")
    if units not in MEASURES:
        return address
    return f"{address}{'&' if '?' in address else '?'}units={units}"


@blueprint.get("/")
@may("staff")
def ask() -> Response:
    pairs = [pair for pair in brief_pairs() if pair[0] not in CONTROLS]
    chosen = MEASURES.get(request.args.get("units", ""))
    measures = chosen or reader_measures()
    response = make_response(_form_page(pairs, measures, request.args.get("change", "")))
    if chosen:
        remember(response, chosen)
    return response


def _form_page(pairs: list[Pair], measures: Measures, change: str) -> str:
    rows = None
    if change:
        pairs, rows = changed_rows(pairs, change)
        pairs += [("tiers", "")] if rows == 0 else []
    form = filled_form(pairs, measures, rows)
    return render_template(
        "brief.html",
        form=form,
        measures=measures,
        problems=[],
        errors={},
        examples=() if pairs else EXAMPLES,
        is_given=any(text.strip() for name, text in pairs if name != "equipment"),
    )


@blueprint.get("/advice")
@may("staff")
def advise() -> Response:
    response = _part() if request.headers.get(PART) == "advice" else _page()
    response.vary.update((PART, "Cookie"))
    return response


def _page() -> Response:
    pairs, measures = brief_pairs(), reader_measures()
    try:
        brief = brief_of(pairs)
        if pairs != pairs_of(brief):
            return redirect(canonical(brief), 303)
        parts = _advice_parts(brief, measures)
    except BriefError as refused:
        return refused_page(pairs, refused, measures)
    form = filled_form(pairs_of(brief), measures)
    return make_response(render_template("advice.html", form=form, errors={}, **parts))


def _part() -> Response:
    """Give the advice without the page around it, for the script that swaps it in."""
    pairs, measures = brief_pairs(), reader_measures()
    try:
        parts = _advice_parts(brief_of(pairs), measures)
    except BriefError as refused:
        problems = shown_problems(refused.problems, pairs, measures)
        response = make_response(render_template("_problems_part.html", problems=problems, is_part=True), 422)
    else:
        response = make_response(render_template("_advice_part.html", **parts))
    # Its address is also a page's: kept by the browser, it could come back in the page's place.
    response.cache_control.no_store = True
    return response


def refused_page(pairs: list[Pair], refused: BriefError, measures: Measures) -> Response:
    problems = shown_problems(refused.problems, pairs, measures)
    page = render_template(
        "brief.html",
        form=filled_form(pairs, measures),
        measures=measures,
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
        examples=(),
    )
    return make_response(page, 422)


def _advice_parts(brief: Brief, measures: Measures) -> dict[str, Any]:
    advice = current_advisor()(brief, measures)
    pairing = advice.pairing
    return dict(
        advice=advice,
        brief=brief,
        measures=measures,
        said=_said(advice),
        in_bar=_in_bar(advice),
        address=address_of(brief),
        change_address=address_of(brief, "/"),
        keep_address=address_of(brief, "/consultations/new"),
        cutaway_scene=scene_of(brief, advice, measures, Sizes.of(current_catalogue())),
        course_picture=course_picture(advice, measures),
        map_address=address_of(brief, MAP_PAGE),
        course_rows=course_rows(advice.course, brief.start_time, measures) if advice.course else [],
        other_tiers=other_tiers(advice.course) if advice.course else [],
        parts_in_one=parts_in_one(advice.parts, brief.hold_hours) if advice.parts else None,
        ruled_out=ruled_out(advice.excluded),
        allergen_sources=allergen_sources(advice.excluded),
        food_safety=food_safety(advice.cautions),
        handling=handling(advice.cautions),
        ties=tied(advice.pairings, pairing.coat.formulation, pairing.filling.formulation) if pairing else [],
        lever_addresses=_lever_addresses(advice),
        next_steps=next_steps(advice, brief),
        firmer_address=firmer_address(advice, brief),
        own_choice=own_choice(advice, brief),
        relaxation_addresses=_relaxation_addresses(advice),
    )


def _said(advice: Advice) -> str:
    """Say in one line what to use; where no coat holds, that comes first."""
    if advice.pairing is None or advice.verdict == "no-coat-holds":
        return advice.headline
    return pairing_in_words(advice.pairing, advice.brief)


def _in_bar(advice: Advice) -> str:
    """Say it in what a phone's line holds: the names of the families alone."""
    if advice.pairing is None:
        return "see what could give"
    coat, filling = advice.pairing.coat, advice.pairing.filling
    if advice.verdict == "no-coat-holds":
        return f"{coat.family_name} nearest"
    return (
        coat.family_name if coat.formulation == filling.formulation else f"{coat.family_name} + {filling.family_name}"
    )


def _lever_addresses(advice: Advice) -> list[str | None]:
    return [lever_address(advice.brief, lever) for lever in advice.levers]


def lever_address(brief: Brief, lever: LeverOut) -> str | None:
    """Give the address of the brief with one lever pulled, or none if it cannot be asked so."""
    shape = brief.model_dump(mode="json", exclude_unset=True, exclude_none=True)
    if lever.lever.startswith("tiers"):
        shape["tiers"] = brief.model_dump(mode="json", exclude_none=True)["tiers"]
    try:
        for field, value in {lever.lever: lever.to, **lever.also}.items():
            _put(shape, field.split("."), value)
        return address_of(read_brief(json.dumps(shape)))
    except (BriefError, LookupError, TypeError, ValueError):
        return None


def _relaxation_addresses(advice: Advice) -> list[str | None]:
    relaxations = advice.nothing_fits.relaxations if advice.nothing_fits else []
    return [relaxation_address(advice.brief, relaxation.limits) for relaxation in relaxations]


def relaxation_address(brief: Brief, limits: Collection[str]) -> str | None:
    """Give the address of the brief without some limits, or none if they are not for the brief to lift."""
    if not {*limits} <= {*brief.diet, "equipment"}:
        return None
    kept = tuple(diet for diet in brief.diet if diet not in limits)
    fields = {name: getattr(brief, name) for name in brief.model_fields_set}
    if "equipment" in limits:
        fields.pop("equipment", None)
    return address_of(Brief.model_validate(fields | {"diet": kept}))


def _put(shape: dict[str, Any], path: list[str], value: Any) -> None:
    place: Any = shape
    for part in path[:-1]:
        place = place[int(part)] if part.isdecimal() else place.setdefault(part, {})
    place[path[-1]] = _json(value)


def _json(value: Any) -> Any:
    if isinstance(value, Tier):
        return value.model_dump(mode="json", exclude_none=True)
    if isinstance(value, list):
        return [_json(item) for item in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
