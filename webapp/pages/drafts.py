"""Forms as far as they are filled: kept while they are typed, listed, gone on with and forgotten."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass

from flask import Blueprint, Flask, Response, current_app, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from webapp.advice.brief import Brief
from webapp.errors import BriefError
from webapp.pages import csrf
from webapp.pages.brief_address import Pair, brief_of, in_metric, number
from webapp.pages.brief_fields import bounds_of
from webapp.pages.brief_form import filled_form
from webapp.pages.errors import ErrorText
from webapp.pages.formatters import brief_value
from webapp.pages.guard import may
from webapp.pages.quantities import METRIC_NAME
from webapp.pages.session import current_visitor
from webapp.pages.shop import current_records
from webapp.pages.units_switch import reader_measures
from webapp.records.errors import NoSuchRecord, RecordRefused, StorageError
from webapp.records.model import Draft, new_id

HOME = "/drafts"
MOST_SHOWN = 5
NOT_OF_THE_BRIEF = frozenset({csrf.FIELD, "revision", "draft", "consultation", "change", "units"})
_ID = re.compile(r"[0-9a-f]{32}")

blueprint = Blueprint("drafts", __name__)


@dataclass(frozen=True, slots=True)
class ShownDraft:
    """One draft as a list names it."""

    id: str
    updated_at: dt.datetime
    about: str
    consultation_id: str | None
    address: str


def brief_fields(pairs: Iterable[Pair]) -> list[Pair]:
    """Pick what is of the brief from what a form sent."""
    return [pair for pair in pairs if pair[0] not in NOT_OF_THE_BRIEF]


def keep_draft(id: str, pairs: list[Pair], consultation_id: str | None = None, revision: int = 0) -> None:
    """Keep what a form holds under the id that it brought, with the revision of the consultation that it changes."""
    if _ID.fullmatch(id):
        fields = {"pairs": [list(pair) for pair in pairs], "revision": revision}
        current_records().drafts.keep(id, fields, current_visitor().account_id, consultation_id)


def revision_seen() -> int:
    """Return the revision that this browser opened; none that is ever kept where it does not say."""
    text = request.form.get("revision", "")
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else 0


def revision_of_draft(draft: Draft) -> int:
    revision = _field(draft, "revision")
    return revision if isinstance(revision, int) else 0


def drop_draft(id: str) -> None:
    """Forget a draft once what it holds is kept for good; one that cannot be forgotten now is no fault of that."""
    try:
        _forget(id)
    except StorageError as error:
        current_app.logger.warning("a draft stays: %s", type(error).__name__)


def _forget(id: str) -> None:
    if _ID.fullmatch(id):
        current_records().drafts.drop(id, current_visitor().account_id)


def drop_if_kept(id: str, brief: Brief) -> None:
    """Forget a draft whose brief was kept; one that holds anything else stays."""
    try:
        draft = current_records().drafts.get(id, current_visitor().account_id) if _ID.fullmatch(id) else None
        if draft and brief_of(pairs_of_draft(draft)).model_dump() == brief.model_dump():
            drop_draft(id)
    except (NoSuchRecord, BriefError, StorageError):
        return


def pairs_of_draft(draft: Draft) -> list[Pair]:
    """Return what was typed; what came with an archive and is no such thing is left out."""
    pairs = _field(draft, "pairs")
    return [(str(pair[0]), str(pair[1])) for pair in pairs if _is_pair(pair)] if isinstance(pairs, list) else []


def _field(draft: Draft, name: str) -> object:
    fields: object = draft.fields
    return fields.get(name) if isinstance(fields, dict) else None


def _is_pair(pair: object) -> bool:
    return isinstance(pair, list) and len(pair) == 2


def drafts_of(consultation_id: str | None = None) -> list[ShownDraft]:
    """List this account's drafts, the latest first; of one consultation if it is named."""
    found = current_records().drafts.of_account(current_visitor().account_id)
    return [_shown(each) for each in found if consultation_id in (None, each.consultation_id)]


def offered_draft(consultation_id: str) -> ShownDraft | None:
    """Return the latest draft of a consultation's brief."""
    return next(iter(drafts_of(consultation_id)), None)


def left_drafts() -> list[ShownDraft]:
    """List the drafts to offer on the first page; none to whoever may not keep any, and none if they cannot be read."""
    try:
        return drafts_of()[:MOST_SHOWN] if current_visitor().is_staff else []
    except StorageError:
        return []


def _shown(draft: Draft) -> ShownDraft:
    id, consultation = draft.id, draft.consultation_id
    address = f"{HOME}/{id}" if consultation is None else f"/consultations/{consultation}/brief?draft={id}"
    return ShownDraft(id, draft.updated_at, _about(pairs_of_draft(draft)), consultation, address)


def _about(pairs: list[Pair]) -> str:
    """Tell a draft by the first things that were typed."""
    measures = reader_measures()
    typed = {METRIC_NAME.get(name, name): text for name, text in in_metric(pairs) if text.strip()}
    said = [brief_value("setting", typed["setting"], measures)] if "setting" in typed else []
    warmest, (low, high) = number(typed.get("air_high_c", "")), bounds_of("air_high_c")
    if warmest is not None and low <= warmest <= high:  # half typed, it is left out
        said.append(f"{measures.temperature(warmest)} at the warmest")
    tiers = {name.split("-")[1] for name in typed if name.startswith("tiers-")}
    said += [f"{len(tiers)} tier{'s' if len(tiers) > 1 else ''}"] if tiers else []
    return ", ".join(said) or "a brief"


@blueprint.post(f"{HOME}/<id>")
@may("staff")
def keep(id: str) -> AnyResponse:
    """Take what the script sends; an answer without a page."""
    consultation = request.form.get("consultation") or None
    try:
        keep_draft(id, brief_fields(request.form.items(multi=True)), consultation, revision_seen())
    except RecordRefused:
        return Response(status=413)
    return Response(status=204)


@blueprint.post(f"{HOME}/<id>/forget")
@may("staff")
def forget(id: str) -> AnyResponse:
    _forget(id)
    return redirect(url_for("consultations.show_list"), 303)


@blueprint.get(f"{HOME}/<id>")
@may("staff")
def go_on(id: str) -> AnyResponse:
    """Open the brief's form with what a draft holds."""
    draft = current_records().drafts.get(id, current_visitor().account_id)
    measures = reader_measures()
    rows = None if any(name.startswith("tiers") for name, _ in pairs_of_draft(draft)) else 1
    page = render_template(
        "brief.html",
        form=filled_form(pairs_of_draft(draft), measures, rows),
        measures=measures,
        problems=[],
        errors={},
        examples=(),
        draft_id=draft.id,
        is_given=True,
    )
    return make_response(page)


@blueprint.errorhandler(NoSuchRecord)
def tell_missing(missing: NoSuchRecord) -> Response:
    text = ErrorText("There is no such draft", "does not exist", "It was kept for good, or forgotten.")
    return make_response(render_template("error.html", text=text, status=404), 404)


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
    app.jinja_env.globals.update(left_drafts=left_drafts, new_draft_id=new_id)
