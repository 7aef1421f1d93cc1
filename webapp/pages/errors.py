"""Error pages that say what to do next; the API gets the same as problems."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Flask, Response, current_app, jsonify, make_response, render_template, request
from flask.globals import request_ctx
from werkzeug.exceptions import HTTPException, MethodNotAllowed, NotFound
from werkzeug.wrappers import Response as AnyResponse

from webapp.advice.contract import ProblemOut, ProblemsOut
from webapp.pages.send_again import not_kept
from webapp.records.errors import NoSuchRecord, StorageError


@dataclass(frozen=True, slots=True)
class ErrorText:
    """What a status means to a person, and what may be done."""

    title: str
    problem: str
    next_step: str


TEXTS = {
    400: ErrorText("This request cannot be read", "cannot be read", "Start a new brief."),
    401: ErrorText("Please log in", "needs a log-in", "Log in, then open the page again."),
    403: ErrorText(
        "This is not for you to use",
        "is not allowed from here, or not with this account",
        "Ask an owner of the shop. On this machine open the advisor by the address it said when it started.",
    ),
    404: ErrorText("There is no such page", "does not exist", "Check the address, or start a new brief."),
    405: ErrorText("That cannot be done here", "does not take this method", "Open the page by its address."),
    413: ErrorText("That is too much at once", "is too large", "Send a brief of at most 64 kB."),
    414: ErrorText("That address is too long", "is too long", "Start the brief again with fewer entries."),
    415: ErrorText("That kind of content is not taken", "is not JSON", "Send application/json."),
    429: ErrorText("Too many attempts", "came too often", "Wait a quarter of an hour, then try again."),
    500: ErrorText(
        "Something went wrong on our side",
        "failed inside the advisor",
        "The address keeps your brief: reload.",
    ),
    503: ErrorText(
        "Too many ask at once",
        "came while too many others waited",
        "Nothing is lost: the address keeps your brief. Open it again in a few seconds.",
    ),
}


def problems_answer(problems: ProblemsOut, status: int) -> Response:
    response = jsonify(problems.model_dump(mode="json"))
    response.status_code = status
    return response


def _next_step(error: HTTPException, text: ErrorText) -> str:
    if isinstance(error, MethodNotAllowed) and error.valid_methods:
        methods = sorted(set(error.valid_methods) - {"HEAD", "OPTIONS"})
        return f"Use {' or '.join(methods)}."
    return text.next_step


def _answer(error: HTTPException) -> Response:
    if error.response is not None:
        return make_response(error.response)
    status = error.code or 500
    text = TEXTS.get(status, TEXTS[400 if status < 500 else 500])
    if request.path.startswith("/api/"):
        problem = ProblemOut(field="request", problem=text.problem, allowed=_next_step(error, text))
        response = problems_answer(ProblemsOut(problems=[problem]), status)
    elif request_ctx.url_adapter is None:
        # A host that is no host: no page can be drawn, for its links could not be built.
        response = make_response(f"{text.title}: the host is not one that can be.\n", status)
        response.mimetype = "text/plain"
    else:
        response = make_response(render_template("error.html", text=text, status=status), status)
    for name, value in error.get_headers():
        if name in ("Allow", "Retry-After"):
            response.headers[name] = value
    return response


def _no_such_record(error: NoSuchRecord) -> Response:
    return _answer(NotFound())


def _storage_failed(error: StorageError) -> AnyResponse:
    current_app.logger.error("records: %s", type(error).__name__)
    if request.path.startswith("/api/"):
        problem = ProblemOut(field="request", problem="needs records that cannot be used", allowed=error.advice)
        return problems_answer(ProblemsOut(problems=[problem]), 503)
    if request.method == "POST":
        return not_kept(error)
    text = ErrorText("The records cannot be used", "", error.advice)
    return make_response(render_template("error.html", text=text, status=503), 503)


def init_app(app: Flask) -> None:
    app.register_error_handler(HTTPException, _answer)
    app.register_error_handler(NoSuchRecord, _no_such_record)
    app.register_error_handler(StorageError, _storage_failed)
