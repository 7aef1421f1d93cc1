"""The brief of a kept consultation, changed in place: half-filled it is a draft, whole it brings a new advice."""

from __future__ import annotations

from flask import Blueprint, Flask, make_response, redirect, render_template, request
from werkzeug.wrappers import Response

from webapp.advice.brief import Brief
from webapp.errors import BriefError
from webapp.pages.brief_address import Pair, brief_of, pairs_of
from webapp.pages.brief_form import changed_rows, filled_form
from webapp.pages.consultations import consultation_address, save, tell_missing
from webapp.pages.drafts import (
    brief_fields,
    drop_draft,
    keep_draft,
    offered_draft,
    pairs_of_draft,
    revision_of_draft,
    revision_seen,
)
from webapp.pages.guard import may
from webapp.pages.keeping_forms import names_typed, query_of
from webapp.pages.kept_advice import advised_content, brief_changes, kept_of
from webapp.pages.problem_texts import Shown, shown_problems
from webapp.pages.send_again import filled_by
from webapp.pages.session import current_visitor
from webapp.pages.shop import current_records
from webapp.pages.stale import Attempt, stale_page
from webapp.pages.units_switch import reader_measures
from webapp.records.consultations import content_of
from webapp.records.errors import NoSuchRecord, StaleRevision
from webapp.records.model import Consultation, new_id

blueprint = Blueprint("kept_brief", __name__)


@blueprint.get("/consultations/<id>/brief")
@may("staff")
def ask(id: str) -> Response:
    record = current_records().consultations.get(id)
    wanted = request.args.get("draft", "")
    if wanted:
        draft = current_records().drafts.get(wanted, current_visitor().account_id)
        return _page(record, pairs_of_draft(draft), draft.id, revision_of_draft(draft))
    brief = kept_of(record).brief
    return _page(record, pairs_of(brief) if brief else [], new_id(), record.revision)


@blueprint.post("/consultations/<id>/brief")
@may("staff")
def change(id: str) -> Response:
    record = current_records().consultations.get(id)
    pairs = brief_fields(request.form.items(multi=True))
    draft = request.form.get("draft", "")
    filled_by(lambda told: _page(record, pairs, draft, revision_seen(), [told], status=503))
    try:
        keep_draft(draft, pairs, id, revision_seen())
        if pressed := request.form.get("change", ""):
            return _rows_page(record, pairs, draft, pressed)
        brief = brief_of(pairs)
        save(record, advised_content(brief, reader_measures(), content_of(record)))
    except BriefError as refused:
        problems = shown_problems(refused.problems, pairs, reader_measures())
        return _page(record, pairs, draft, revision_seen(), problems, status=422)
    except StaleRevision as stale:
        return _stale(stale, brief, draft)
    drop_draft(draft)
    return redirect(consultation_address(id, done="saved"), 303)


def _rows_page(record: Consultation, pairs: list[Pair], draft: str, pressed: str) -> Response:
    pairs, rows = changed_rows(pairs, pressed)
    pairs += [("tiers", "")] if rows == 0 else []
    return _page(record, pairs, draft, revision_seen(), rows=rows)


def _page(
    record: Consultation,
    pairs: list[Pair],
    draft: str,
    revision: int,
    problems: list[Shown] | None = None,
    rows: int | None = None,
    status: int = 200,
) -> Response:
    measures, problems = reader_measures(), problems or []
    offered = offered_draft(record.id)
    page = render_template(
        "kept_brief.html",
        record=record,
        form=filled_form(pairs, measures, rows),
        measures=measures,
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
        draft_id=draft,
        offered=offered if offered and offered.id != draft else None,
        revision=revision,
        address=f"/consultations/{record.id}/brief",
    )
    return make_response(page, status)


def _stale(stale: StaleRevision, mine: Brief, draft: str) -> Response:
    """Show where the two briefs differ; mine stays a draft until one of the two is kept."""
    theirs, measures = kept_of(stale.theirs), reader_measures()
    rows = brief_changes(mine, theirs.brief, measures) if theirs.brief else []
    address = f"/consultations/{stale.theirs.id}/brief"
    fields = [*pairs_of(mine), ("draft", draft)]
    copied = [*names_typed(stale.theirs).items(), ("brief", query_of(pairs_of(mine))), ("draft", draft)]
    return stale_page(stale, rows, Attempt(address, fields, "Save mine in its place", copied))


blueprint.register_error_handler(NoSuchRecord, tell_missing)


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
