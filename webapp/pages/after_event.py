"""After the event: what happened to the coat, by formulation, and what that teaches of the softening temperature."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from flask import Blueprint, Flask, abort, make_response, redirect, render_template, request
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response
from wtforms import (  # type: ignore[import-untyped]
    Form,
    RadioField,
    SelectChoice,
    SelectField,
    StringField,
    TextAreaField,
)

from webapp.advice import phrases
from webapp.advice.brief import Brief
from webapp.advice.learnt import Compared, coat_temperature, look_of
from webapp.advice.own_formulas import PREFIX
from webapp.catalogue.model import Catalogue, Formulation
from webapp.errors import BriefError
from webapp.pages.advisor import current_catalogue
from webapp.pages.brief_address import Pair, brief_of, in_measures, number, pairs_of
from webapp.pages.brief_fields import CHOICES
from webapp.pages.formatters import capital, tidy
from webapp.pages.guard import may
from webapp.pages.kept_advice import Kept, kept_of
from webapp.pages.problem_texts import Shown, shown_problems
from webapp.pages.quantities import name_in
from webapp.pages.send_again import filled_by
from webapp.pages.shop import current_records
from webapp.pages.shop_advice import current_service, shop_advice, use_learnt, used_here
from webapp.pages.units_switch import reader_measures
from webapp.records.errors import RecordRefused
from webapp.records.model import Outcome
from webapp.records.outcomes import Note
from webapp.units import Measures, duration

WEATHER = ("setting", "air_high_c", "humidity_pct", "cloud_pct")
# What the weather that came takes the place of.
FORESEEN = frozenset({*WEATHER, "air_low_c", "wind_mps", "weather", "hold_hours"})
MOST = 1000.0  # of degrees and per cent that are shown
OUTCOMES = {"softened": "Its look was lost", "held": "It still had its look when it was cut"}
LOOK_WORDS = {
    "smooth": "smooth coat",
    "textured": "textured coat",
    "borders": "borders of beads",
    "rosettes": "rosettes",
    "fine": "fine piping",
}

blueprint = Blueprint("after", __name__)


# ---- the note on one event ----


@dataclass(frozen=True, slots=True)
class NoteRow:
    """One note in words."""

    id: str
    noted: dt.datetime
    consultation: str | None
    formulation: str
    told: str
    weather: str
    coat: str
    remark: str


@blueprint.get("/consultations/<id>/after")
@may("staff")
def ask(id: str) -> Response:
    kept = kept_of(current_records().consultations.get(id))
    return _page(kept, _expected(kept))


@blueprint.post("/consultations/<id>/after")
@may("staff")
def add(id: str) -> Response:
    kept = kept_of(current_records().consultations.get(id))
    typed = [*request.form.items(multi=True)]
    problems = _missing(request.form)
    filled_by(lambda told: _page(kept, typed, [told], 503))
    try:
        note = _judged(kept, request.form, problems)
        if note is None:
            return _page(kept, typed, problems, 422)
        current_records().outcomes.add(id, note)
    except RecordRefused as refused:
        text = f"The remark {refused.problem.problem}. Use {refused.problem.allowed}."
        return _page(kept, typed, [Shown("remark", "remark", text)], 422)
    return redirect(f"/consultations/{id}/after#notes-title", 303)


@blueprint.post("/consultations/<id>/after/<note>/remove")
@may("staff")
def remove(id: str, note: str) -> Response:
    outcomes = current_records().outcomes
    if note not in {each.id for each in outcomes.of_consultation(id)}:
        abort(404)
    outcomes.remove(note)
    return redirect(f"/consultations/{id}/after#notes-title", 303)


def _page(kept: Kept, pairs: Sequence[Pair], problems: Sequence[Shown] = (), status: int = 200) -> Response:
    measures = reader_measures()
    page = render_template(
        "after.html",
        record=kept.record,
        form=_form(_catalogue_of(kept), measures)(MultiDict(in_measures(pairs, measures))),
        look=LOOK_WORDS[look_of(kept.brief)] if kept.brief else "",
        chosen=_coat_chosen(kept),
        rows=[_row(note, measures) for note in current_records().outcomes.of_consultation(kept.record.id)],
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
    )
    return make_response(page, status)


def _coat_chosen(kept: Kept) -> str:
    pair = kept.chosen or kept.advised
    return kept.name(pair[0]) if pair else ""


def _expected(kept: Kept) -> list[Pair]:
    """Fill in the coat and the weather as they were foreseen, to be put right."""
    if kept.brief is None:
        return []
    pair = kept.chosen or kept.advised
    known = [(name, text) for name, text in pairs_of(kept.brief) if name in ("setting", "humidity_pct", "cloud_pct")]
    warmest = [("air_high_c", tidy(kept.brief.warmest_c).replace("−", "-"))]
    return [("coat", pair[0] if pair else ""), ("setting", kept.brief.setting), *known, *warmest]


def _missing(form: Mapping[str, str]) -> list[Shown]:
    air = name_in(reader_measures(), "air_high_c")
    wanted = {
        "outcome": "Choose whether its look was lost or kept.",
        "hold_hours": "Enter after how many hours on the table that was.",
        air: "Enter the warmest air while it stood.",
    }
    return [Shown(name, name, text) for name, text in wanted.items() if not form.get(name, "").strip()]


def _judged(kept: Kept, form: Mapping[str, str], problems: list[Shown]) -> Note | None:
    """Judge every field; what is wrong is added to the problems."""
    coat = _catalogue_of(kept).formulations.get(form.get("coat", ""))
    if coat is None:
        problems.append(Shown("coat", "coat", "Choose the coat from the list."))
    if form.get("outcome", "") not in ("", *OUTCOMES):
        problems.append(Shown("outcome", "outcome", "Choose whether its look was lost or kept."))
    seen = _as_it_was(kept, form, problems)
    if problems or coat is None or seen is None:
        return None
    return _note(coat, seen, _catalogue_of(kept), form)


def _as_it_was(kept: Kept, form: Mapping[str, str], problems: list[Shown]) -> Brief | None:
    """Return the brief in the weather that came, its display ending when something was seen."""
    measures = reader_measures()
    names = {"hold_hours", *WEATHER, *(name_in(measures, name) for name in WEATHER)}
    came = [(name, text) for name, text in form.items() if name in names]
    pairs = [pair for pair in pairs_of(kept.brief or Brief()) if pair[0] not in FORESEEN]
    try:
        return brief_of([*pairs, *came])
    except BriefError as refused:
        known = {problem.element for problem in problems}
        found = [_as_asked_here(each) for each in shown_problems(refused.problems, came, measures)]
        problems += [each for each in found if each.element not in known]
        return None


def _as_asked_here(problem: Shown) -> Shown:
    """Name the hours as this form does, which asks for them on the table."""
    if problem.element != "hold_hours":
        return problem
    return replace(problem, text=problem.text.replace("hours on display", "hours on the table"))


def _note(coat: Formulation, seen: Brief, catalogue: Catalogue, form: Mapping[str, str]) -> Note:
    hours = float(number(form["hold_hours"]) or 0)
    warmest = coat_temperature(seen, coat, hours, catalogue, dt.date.today())
    is_held = form["outcome"] == "held"
    return Note(
        # An own formula has a number of its brief alone; its name is what tells it from others.
        formulation=f"own: {coat.name}" if coat.id.startswith(PREFIX) else coat.id,
        look=look_of(seen),
        weather={name: getattr(seen, name) for name in WEATHER},
        held_h=hours if is_held else None,
        softened_h=None if is_held else hours,
        coat_c=warmest.likely_c,
        coat_low_c=warmest.low_c,
        coat_high_c=warmest.high_c,
        remark=form.get("remark", ""),
    )


def _form(catalogue: Catalogue, measures: Measures) -> type[Form]:
    coats = [SelectChoice(each.id, each.name) for each in catalogue.formulations.values()]
    places = [SelectChoice(value, text) for value, text in CHOICES["setting"].items()]
    happened = [SelectChoice(value, text) for value, text in OUTCOMES.items()]
    air, degree = name_in(measures, "air_high_c"), measures.degree
    fields = {
        "coat": SelectField("Which coat was on it?", choices=coats, validate_choice=False),
        "outcome": RadioField("What happened?", choices=happened, validate_choice=False),
        "hold_hours": StringField("Hours on the table until then", description="h"),
        "setting": RadioField("Where did it stand?", choices=places, validate_choice=False),
        "air": StringField("Warmest air while it stood", name=air, id=air, description=degree),
        "humidity_pct": StringField("Humidity at the warmest time", description="%"),
        "cloud_pct": StringField("Sky under cloud", description="%"),
        "remark": TextAreaField("Remark, for your eyes only"),
    }
    return type("AfterForm", (Form,), fields)


def _catalogue_of(kept: Kept) -> Catalogue:
    try:
        return current_service().entering(kept.brief).catalogue if kept.brief else current_catalogue()
    except BriefError:
        return current_catalogue()


def _row(note: Outcome, measures: Measures) -> NoteRow:
    look = LOOK_WORDS.get(note.look, note.look)
    if note.held_h is not None:
        told = f"{look.capitalize()}: still there when it was cut after {duration(note.held_h)}"
    else:
        told = f"{look.capitalize()}: lost after {duration(note.softened_h or 0.0)}"
    return NoteRow(
        id=note.id,
        noted=note.created_at,
        consultation=note.consultation_id,
        formulation=_name(note.formulation),
        told=told,
        weather=_weather(note, measures),
        coat=_coat(note, measures),
        remark=note.remark,
    )


def _weather(note: Outcome, measures: Measures) -> str:
    weather: object = note.weather  # from an archive it may be anything
    came = weather if isinstance(weather, dict) else {}
    number = {name: value for name, value in came.items() if isinstance(value, int | float) and abs(value) < MOST}
    place = str(came.get("setting", ""))
    told = [capital(phrases.PLACES.get(place, "place not noted"))]
    if "air_high_c" in number:
        told.append(f"up to {measures.temperature(number['air_high_c'])}")
    if "humidity_pct" in number:
        told.append(f"humidity {number['humidity_pct']:g} %")
    if place == "sun" and "cloud_pct" in number:
        told.append(f"cloud {number['cloud_pct']:g} %")
    return ", ".join(told)


def _coat(note: Outcome, measures: Measures) -> str:
    if note.coat_c is None or note.coat_low_c is None or note.coat_high_c is None:
        return ""
    return spread(note.coat_c, note.coat_low_c, note.coat_high_c, measures)


def spread(likely_c: float, low_c: float, high_c: float, measures: Measures) -> str:
    """Write a temperature with its range."""
    return f"{measures.temperature(likely_c)} ({measures.temperatures(low_c, high_c)})"


def _name(formulation: str) -> str:
    known = current_catalogue().formulations.get(formulation)
    return known.name if known else formulation


# ---- all events by formulation ----

STRIP, MARGIN = 320.0, 8.0
ENDS_WIDE = 130.0  # room for both ends of a range in words


@dataclass(frozen=True, slots=True)
class Strip:
    """Where one range lies on the line that both share."""

    low: float
    likely: float
    high: float
    ends: str

    @property
    def ends_at(self) -> float:
        """Where its ends are written: under its middle, and never over the edge."""
        return min(max((self.low + self.high) / 2, ENDS_WIDE / 2), STRIP - ENDS_WIDE / 2)


@dataclass(frozen=True, slots=True)
class Taught:
    """What a shop's events say of one formulation, beside what we say."""

    formulation: str
    name: str
    rows: tuple[NoteRow, ...]
    ours: str
    yours: str
    events: int
    is_used: bool
    strips: tuple[Strip, Strip] | None


@blueprint.get("/events")
@may("staff")
def show_all() -> Response:
    records, measures = current_records(), reader_measures()
    used = used_here(records)
    page = render_template(
        "events.html", taught=[_taught(each, each in used, measures) for each in records.outcomes.counts()]
    )
    return make_response(page)


@blueprint.post("/events/use")
@may("owner")
def use() -> Response:
    formulation = request.form.get("formulation", "")
    if formulation not in current_catalogue().formulations:
        abort(404)
    use_learnt(current_records(), formulation, request.form.get("use") == "yours")
    return redirect(f"/events#{formulation}", 303)


def _taught(formulation: str, is_used: bool, measures: Measures) -> Taught:
    notes = current_records().outcomes.of_formulation(formulation)
    found = shop_advice().compared(formulation, notes)
    ours, yours = (found.ours, found.yours) if found else (None, None)
    return Taught(
        formulation=formulation,
        name=_name(formulation),
        rows=tuple(_row(note, measures) for note in notes),
        ours=spread(ours.likely_c, ours.low_c, ours.high_c, measures) if ours else "",
        yours=spread(yours.likely_c, yours.low_c, yours.high_c, measures) if yours else "",
        events=yours.events if yours else 0,
        is_used=is_used,
        strips=_strips(found, measures) if found else None,
    )


def _strips(found: Compared, measures: Measures) -> tuple[Strip, Strip]:
    both = (found.ours, found.yours)
    least, most = min(each.low_c for each in both), max(each.high_c for each in both)

    def x(celsius: float) -> float:
        return round(MARGIN + (STRIP - 2 * MARGIN) * (celsius - least) / max(most - least, 0.1), 1)

    first, second = (
        Strip(x(each.low_c), x(each.likely_c), x(each.high_c), measures.temperatures(each.low_c, each.high_c))
        for each in both
    )
    return first, second


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
