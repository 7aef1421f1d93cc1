"""The advice for programs: the same brief, the same advice, in JSON and metric units."""

from __future__ import annotations

import json
from dataclasses import asdict

from flask import Blueprint, Flask, Response, abort, current_app, jsonify, request

from webapp.advice.brief import read_brief
from webapp.advice.contract import ProblemOut, ProblemsOut
from webapp.errors import BriefError
from webapp.pages.advisor import current_advisor, current_catalogue
from webapp.pages.errors import problems_answer
from webapp.pages.guard import may
from webapp.pages.openapi import openapi_document
from webapp.pages.substitutes import asked_shape, written
from webapp.units import METRIC

MAX_BODY_BYTES = 64 * 1024

blueprint = Blueprint("api", __name__, url_prefix="/api")


@blueprint.post("/advice")
@may("staff", changes=False)
def advice() -> Response:
    if request.mimetype != "application/json":
        abort(415)
    body = request.get_data()
    try:
        given = current_advisor()(read_brief(body), METRIC)
    except BriefError as refused:
        problems = [ProblemOut(**asdict(problem)) for problem in refused.problems]
        return problems_answer(ProblemsOut(problems=problems), 422)
    return current_app.response_class(given.model_dump_json(by_alias=True), mimetype="application/json")


@blueprint.get("/substitutes")
@may("staff")
def substitutes_of_address() -> Response:
    return _substitutes(json.dumps(asked_shape(request.args.items(multi=True))))


@blueprint.post("/substitutes")
@may("staff", changes=False)
def substitutes_of_body() -> Response:
    if request.mimetype != "application/json":
        abort(415)
    return _substitutes(request.get_data())


def _substitutes(body: str | bytes) -> Response:
    try:
        found = written(body)
    except BriefError as refused:
        problems = [ProblemOut(**asdict(problem)) for problem in refused.problems]
        return problems_answer(ProblemsOut(problems=problems), 422)
    return current_app.response_class(found.model_dump_json(by_alias=True), mimetype="application/json")


@blueprint.get("/schema")
@may("staff")
def schema() -> Response:
    return jsonify(openapi_document(current_catalogue().formulations))


def init_app(app: Flask) -> None:
    app.config["MAX_CONTENT_LENGTH"] = MAX_BODY_BYTES
    app.register_blueprint(blueprint)
