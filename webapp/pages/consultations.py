"""Consultations that last: kept from an advice, listed, searched, reopened, copied, put away and deleted with undo."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, cast, get_args
from urllib.parse import urlencode

from flask import Blueprint, Flask, abort, make_response, redirect, render_template, request
from werkzeug.wrappers import Response

from webapp.advice.contract import Advice
from webapp.errors import BriefError
from webapp.pages.advisor import current_advisor
from webapp.pages.brief_address import Pair, address_of, brief_of, pairs_of
from webapp.pages.drafts import drafts_of, drop_if_kept, offered_draft, revision_seen
from webapp.pages.errors import ErrorText
from webapp.pages.guard import may
from webapp.pages.keeping_forms import (
    Names,
    NamesRefused,
    filled_names,
    names_typed,
    pairs_in,
    query_of,
    read_names,
)
from webapp.pages.kept_advice import (
    Change,
    Kept,
    Pairing,
    advice_changes,
    advised_content,
    formulation_name,
    kept_of,
    version_changes,
)
from webapp.pages.problem_texts import Shown
from webapp.pages.send_again import filled_by
from webapp.pages.shop import current_records
from webapp.pages.stale import Attempt, stale_page
from webapp.pages.units_switch import reader_measures
from webapp.records.consultations import Content, Sort, content_of
from webapp.records.errors import NoSuchRecord, StaleRevision
from webapp.records.model import Consultation

HOME = "/consultations"
SORTS: tuple[Sort, ...] = get_args(Sort)
SHELVES = ("", "archived", "deleted")
DONE = {
    "kept": "Kept.",
    "saved": "Saved.",
    "chosen": "The choice is kept.",
    "anew": "The new advice is kept.",
    "duplicate": "This is the copy.",
    "archive": "Put into the archive.",
    "unarchive": "Back from the archive.",
    "restore": "Brought back.",
}
MARKS = ("archive", "unarchive", "delete", "restore")

blueprint = Blueprint("consultations", __name__)


def consultation_address(id: str, **query: str) -> str:
    return f"{HOME}/{id}?{urlencode(query)}" if query else f"{HOME}/{id}"


# ---- the list ----


@dataclass(frozen=True, slots=True)
class Listing:
    """What the list is asked to show."""

    query: str
    sort: Sort
    reverse: bool
    shelf: str
    page: int

    def address(self, **changed: str | int) -> str:
        """Write the address of this list with something changed."""
        asked: dict[str, str | int] = {
            "q": self.query,
            "sort": self.sort,
            "reverse": "1" if self.reverse else "",
            "show": self.shelf,
            "page": 1,
        }
        told = {name: value for name, value in (asked | changed).items() if value not in ("", 1, "updated")}
        return f"{HOME}?{urlencode(told)}" if told else HOME

    def sorted_by(self, sort: Sort) -> str:
        """Write the address of the list by a column, turned round where it is by that already."""
        is_turned = sort == self.sort and not self.reverse
        return self.address(sort=sort, reverse="1" if is_turned else "")

    def is_by(self, sort: Sort) -> str:
        """Say for a screen reader how a column sorts the list."""
        if sort != self.sort:
            return "none"
        return "ascending" if self.reverse != (sort == "client") else "descending"


def _listing() -> Listing:
    args = request.args
    sort = cast(Sort, args["sort"]) if args.get("sort") in SORTS else "updated"
    shelf = args["show"] if args.get("show") in SHELVES else ""
    page = int(args["page"]) if args.get("page", "").isdecimal() and len(args["page"]) < 8 else 1
    return Listing(args.get("q", "").strip()[:200], sort, args.get("reverse") == "1", shelf, page)


@blueprint.get(HOME)
@may("staff")
def show_list() -> Response:
    listing, kept = _listing(), current_records().consultations
    found = kept.list(
        listing.query,
        listing.sort,
        reverse=listing.reverse,
        archived=listing.shelf == "archived",
        deleted=listing.shelf == "deleted",
        page=listing.page,
    )
    page = render_template(
        "consultations.html",
        listing=listing,
        found=found,
        deleted=_deleted(request.args.get("deleted", "")),
        drafts=drafts_of(),
        formulation_name=formulation_name,
        problems=[],
    )
    return make_response(page)


def _deleted(id: str) -> Consultation | None:
    """Return what was deleted a moment ago, so that it can be undone on the spot."""
    try:
        record = current_records().consultations.get(id) if id else None
    except NoSuchRecord:
        return None
    return record if record and record.deleted_at else None


# ---- keeping what was advised ----


@blueprint.get(f"{HOME}/new")
@may("staff")
def ask_names() -> Response:
    pairs = [pair for pair in request.args.items(multi=True) if pair[0] != "units"]
    return _new_page(pairs, {"event_date": request.args.get("date", "")}, [], 200)


@blueprint.post(HOME)
@may("staff")
def keep() -> Response:
    pairs = pairs_in(request.form.get("brief", ""))
    filled_by(lambda told: _new_page(pairs, request.form, [told], 503))
    try:
        names = read_names(request.form)
        brief = brief_of(pairs)
        content = advised_content(brief, reader_measures(), _named(names, _typed_pairing()))
        record = current_records().consultations.add(content)
    except NamesRefused as refused:
        return _new_page(pairs, request.form, refused.problems, 422)
    except BriefError:
        return redirect(f"/advice?{query_of(pairs)}", 303)
    drop_if_kept(request.form.get("draft", ""), brief)
    return redirect(consultation_address(record.id, done="kept"), 303)


def _new_page(pairs: list[Pair], typed: Any, problems: list[Shown], status: int) -> Response:
    try:
        brief, measures = brief_of(pairs), reader_measures()
        advice = current_advisor()(brief, measures)
    except BriefError:
        return redirect(f"/advice?{query_of(pairs)}", 303)
    page = render_template(
        "keep.html",
        form=filled_names(typed),
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
        brief=brief,
        brief_query=query_of(pairs_of(brief)),
        advice=advice,
        pairing=_typed_pairing(),
        advice_address=address_of(brief),
    )
    return make_response(page, status)


def _named(names: Names, pairing: Pairing | None) -> Content:
    coat, filling = pairing or (None, None)
    return Content(names.client, names.event, names.event_date, {}, {}, "", "", coat, filling)


def _typed_pairing() -> Pairing | None:
    coat, filling = request.form.get("coat", "").strip(), request.form.get("filling", "").strip()
    return (coat[:80], filling[:80]) if coat and filling and (coat + filling).isprintable() else None


# ---- one consultation ----


@blueprint.get(f"{HOME}/<id>")
@may("staff")
def show(id: str) -> Response:
    return _page(current_records().consultations.get(id))


def _page(record: Consultation, typed: Any = None, problems: list[Shown] | None = None, status: int = 200) -> Response:
    kept, problems = kept_of(record), problems or []
    versions = version_changes(record)
    is_anew = bool(kept.brief) and (bool(versions) or "anew" in request.args or not kept.advice)
    anew = current_anew(kept) if is_anew else None
    changes = advice_changes(kept.advice, anew, reader_measures()) if kept.advice and anew else []
    page = render_template(
        "consultation.html",
        kept=kept,
        record=record,
        form=filled_names(names_typed(record) if typed is None else typed),
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
        done=DONE.get(request.args.get("done", "")),
        is_put_away=bool(record.archived_at) and request.args.get("done") == "archive",
        versions=versions,
        anew=anew,
        changes=changes,
        advice_address=address_of(kept.brief) if kept.brief else None,
        draft=offered_draft(record.id),
    )
    return make_response(page, status)


def current_anew(kept: Kept) -> Advice | None:
    """Work the kept brief out with what runs now; none where it is not understood any more."""
    try:
        return current_advisor()(kept.brief, reader_measures()) if kept.brief else None
    except BriefError:
        return None


@blueprint.post(f"{HOME}/<id>")
@may("staff")
def save_names(id: str) -> Response:
    records = current_records().consultations
    record = records.get(id)
    filled_by(lambda told: _page(record, request.form, [told], 503))
    try:
        names = read_names(request.form)
        content = content_of(record)
        saved = save(record, _with_names(content, names))
    except NamesRefused as refused:
        return _page(record, request.form, refused.problems, 422)
    except StaleRevision as stale:
        return _stale_names(stale, names)
    return redirect(consultation_address(saved.id, done="saved"), 303)


def _with_names(content: Content, names: Names) -> Content:
    return Content(
        client=names.client,
        event=names.event,
        event_date=names.event_date,
        brief=content.brief,
        advice=content.advice,
        data_version=content.data_version,
        code_version=content.code_version,
        coat=content.coat,
        filling=content.filling,
    )


def save(record: Consultation, content: Content) -> Consultation:
    """Save over the revision that this browser saw; what was deleted comes back, as it is wanted after all."""
    records = current_records().consultations
    saved = records.save(record.id, content, revision_seen())
    return records.restore(saved.id) if saved.deleted_at else saved


def _stale_names(stale: StaleRevision, names: Names) -> Response:
    theirs = names_typed(stale.theirs)
    mine = {name: request.form.get(name, "") for name in theirs}
    labels = {"client": "Client", "event": "Event", "event_date": "Day of the event"}
    rows = [Change(labels[name], mine[name], theirs[name]) for name in theirs if mine[name] != theirs[name]]
    brief = kept_of(stale.theirs).brief
    copied = [*mine.items(), ("brief", query_of(pairs_of(brief)))] if brief else []
    again = Attempt(consultation_address(stale.theirs.id), list(mine.items()), "Save mine in its place", copied)
    return stale_page(stale, rows, again)


@blueprint.post(f"{HOME}/<id>/choice")
@may("staff")
def choose(id: str) -> Response:
    records, pairing = current_records().consultations, _typed_pairing()
    record = records.get(id)
    kept = kept_of(record)
    if pairing is None or not kept.may_be_chosen(pairing):
        problem = "Choose one of the pairings that this advice compared."
        return _page(record, problems=[Shown("choice", "choice", problem)], status=422)
    try:
        records.choose(id, *pairing, revision_seen())
    except StaleRevision as stale:
        return _stale_choice(stale, pairing, kept)
    return redirect(consultation_address(id, done="chosen"), 303)


def _stale_choice(stale: StaleRevision, pairing: Pairing, kept: Kept) -> Response:
    theirs = kept_of(stale.theirs)
    rows = [Change("Chosen", in_words(kept, pairing), in_words(theirs, theirs.chosen))]
    fields = [("coat", pairing[0]), ("filling", pairing[1])]
    again = Attempt(consultation_address(stale.theirs.id) + "/choice", fields, "Choose mine all the same", [])
    return stale_page(stale, [row for row in rows if row.was != row.now], again)


def in_words(kept: Kept, pairing: Pairing | None) -> str:
    """Name a pairing as it was advised."""
    return f"{kept.name(pairing[0])}, with {kept.name(pairing[1])}" if pairing else "nothing yet"


@blueprint.post(f"{HOME}/<id>/anew")
@may("staff")
def keep_anew(id: str) -> Response:
    record = current_records().consultations.get(id)
    kept = kept_of(record)
    if kept.brief is None:
        abort(404)
    try:
        content = advised_content(kept.brief, reader_measures(), content_of(record))
        save(record, content)
    except BriefError:
        return redirect(address_of(kept.brief), 303)
    except StaleRevision as stale:
        return stale_page(stale, [], Attempt(request.path, [], "Compute anew all the same", []))
    return redirect(consultation_address(id, done="anew"), 303)


@blueprint.post(f"{HOME}/<id>/duplicate")
@may("staff")
def duplicate(id: str) -> Response:
    records = current_records().consultations
    source = records.get(id)
    copy = records.duplicate(id, f"{source.event[:190]} (copy)")
    return redirect(consultation_address(copy.id, done="duplicate"), 303)


@blueprint.post(f"{HOME}/<id>/<any{MARKS!r}:mark>")
@may("staff")
def mark(id: str, mark: str) -> Response:
    records = current_records().consultations
    change = cast(Callable[[str, int | None], Consultation], getattr(records, mark))
    # Bringing back loses nothing, so it asks for no revision.
    expected = None if mark in ("restore", "unarchive") else revision_seen()
    try:
        change(id, expected)
    except StaleRevision as stale:
        return stale_page(stale, [], Attempt(request.path, [], f"{mark.capitalize()} it all the same", []))
    if mark == "delete":
        return redirect(f"{HOME}?{urlencode({'deleted': id})}", 303)
    return redirect(consultation_address(id, done=mark), 303)


@blueprint.errorhandler(NoSuchRecord)
def tell_missing(missing: NoSuchRecord) -> Response:
    text = ErrorText("There is no such consultation", "does not exist", f"{missing} Look into the list.")
    return make_response(render_template("error.html", text=text, status=404), 404)


def when(moment: dt.datetime, with_zone: bool = False) -> str:
    """Write a moment by the clock of this machine, on one line; ``with_zone`` tells which clock that is."""
    here = moment.astimezone()
    zone = f" {zone_name(here)}" if with_zone else ""
    return f"{reader_measures().stamp(here)}{zone}".replace(" ", "\xa0")


def zone_name(moment: dt.datetime) -> str:
    """Name the zone of an aware moment by its distance from UTC: ``UTC``, ``UTC+2``, ``UTC−3:30``."""
    minutes = round((moment.utcoffset() or dt.timedelta()) / dt.timedelta(minutes=1))
    hours, over = divmod(abs(minutes), 60)
    sign = "−" if minutes < 0 else "+"
    return f"UTC{sign}{hours}{f':{over:02}' if over else ''}" if minutes else "UTC"


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
    app.jinja_env.globals.update(when=when, pairing_words=in_words, consultation_address=consultation_address)
