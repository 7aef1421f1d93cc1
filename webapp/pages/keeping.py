"""Egg and keeping of a buttercream or a pairing, with or without the brief of its event."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from flask import Blueprint, Flask, Response, make_response, render_template, request
from werkzeug.datastructures import MultiDict
from wtforms import Form, SelectChoice, SelectField, StringField  # type: ignore[import-untyped]

from webapp.advice.contract import Advice
from webapp.advice.keeping import HELD_MIN, Event, guests_at_risk, keeping_of
from webapp.advice.keeping_words import READ_AGAINST, SAYS, percent_spread, ph_told, reduction_text, spread
from webapp.advice.substitutes import pairing_against_diet
from webapp.catalogue.model import Catalogue, Formulation
from webapp.pages.advisor import current_advisor
from webapp.pages.brief_address import address_of, number
from webapp.pages.carried_brief import read_carried
from webapp.pages.families import titles_of
from webapp.pages.guard import may
from webapp.pages.problem_texts import Shown
from webapp.pages.units_switch import reader_measures

PAGE = "/keeping"
FIELDS = ("coat", "filling", "setup_minutes")
OWN_FIELDS = frozenset({*FIELDS, "units"})
MOST_SETUP_MIN = 360
EGG_LIMIT = "no-undercooked-egg"

blueprint = Blueprint("keeping", __name__)


@blueprint.get(PAGE)
@may("staff")
def show() -> Response:
    pairs = [*request.args.items(multi=True)]
    own = MultiDict([pair for pair in pairs if pair[0] in FIELDS])
    carried = [pair for pair in pairs if pair[0] not in OWN_FIELDS]
    measures, problems = reader_measures(), list[Shown]()
    brief, catalogue = read_carried(carried, measures, problems)
    setup_h = _setup_h(own.get("setup_minutes", ""), problems)
    advice = current_advisor()(brief, measures) if brief is not None else None
    chosen = _chosen(own, catalogue, advice, problems)
    problems.sort(key=_place)
    event = None
    if brief is not None:
        event = Event(brief, dt.date.today(), setup_h, barred_by(advice))
    keeping = None
    if chosen is not None and not problems:
        keeping = keeping_of(*chosen, catalogue, measures, event)
        own = MultiDict([*own.items(multi=True), ("coat", chosen[0].id), ("filling", chosen[1].id)])
    page = render_template(
        "keeping.html",
        form=_form(catalogue)(own),
        carried=carried,
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
        keeping=keeping,
        against=pairing_against_diet(chosen, brief, catalogue) if chosen and brief else (),
        at_risk=keeping.at_risk if keeping else guests_at_risk(catalogue, measures, barred_by(advice)),
        planning=catalogue.rules["planning-help"],
        rules=catalogue.rules,
        brief=brief,
        brief_address=address_of(brief, "/") if brief is not None else "",
        advice_address=address_of(brief) if brief is not None else "",
        plan_address=address_of(brief, "/plan") if brief is not None else "",
        citations=titles_of(catalogue),
        measures=measures,
        says=SAYS,
        held=[held_text(minutes) for minutes in HELD_MIN],
        spread=spread,
        read_against=READ_AGAINST,
        percent_spread=percent_spread,
        ph_told=ph_told,
        reduction_text=reduction_text,
    )
    return make_response(page, 422 if problems else 200)


def _place(problem: Shown) -> int:
    """Return where a problem stands in the form; what is of the brief that came along stands after it."""
    return FIELDS.index(problem.element) if problem.element in FIELDS else len(FIELDS)


def _setup_h(text: str, problems: list[Shown]) -> float:
    if not text.strip():
        return 0.0
    value = number(text)
    if value is None or not 0 <= value <= MOST_SETUP_MIN:
        wanted = f"Enter the set-up as a number from 0 to {MOST_SETUP_MIN} min, or leave it empty."
        problems.append(Shown("setup_minutes", "setup_minutes", wanted))
        return 0.0
    return value / 60


def _chosen(
    own: MultiDict[str, str], catalogue: Catalogue, advice: Advice | None, problems: list[Shown]
) -> tuple[Formulation, Formulation] | None:
    """Return what was chosen, else what the advice on the brief chose, else nothing."""
    coat, filling = own.get("coat", ""), own.get("filling", "")
    if not coat and not filling and advice is not None and advice.pairing is not None:
        coat, filling = advice.pairing.coat.formulation, advice.pairing.filling.formulation
    if not coat and not filling:
        return None
    for field, name in (("coat", coat), ("filling", filling or coat)):
        if name not in catalogue.formulations and (field == "coat" or filling):
            noun = "the buttercream outside" if field == "coat" else "the buttercream between the layers"
            problems.append(Shown(field, field, f"Choose {noun} from the list."))
    if problems:
        return None
    return catalogue.formulations[coat], catalogue.formulations[filling or coat]


def barred_by(advice: Advice | None) -> Mapping[str, str]:
    """Say of each formulation that the brief bars from both places why; egg is told on this page itself."""
    if advice is None:
        return {}
    barred: dict[str, dict[str, str]] = {}
    for row in advice.excluded:
        if row.limit != EGG_LIMIT:
            barred.setdefault(row.formulation, {}).setdefault(row.role, row.because)
    return {name: next(iter(roles.values())) for name, roles in barred.items() if len(roles) == 2}


def held_text(minutes: float) -> str:
    return f"{60 * minutes:.0f} s" if minutes < 1 else f"{minutes:g} min"


def _form(catalogue: Catalogue) -> type[Form]:
    formulas = [SelectChoice(each.id, each.name) for each in catalogue.formulations.values()]
    fields = {
        "coat": SelectField(
            "Buttercream outside", choices=[SelectChoice("", "Choose"), *formulas], validate_choice=False
        ),
        "filling": SelectField(
            "Buttercream between the layers",
            choices=[SelectChoice("", "The same as outside"), *formulas],
            validate_choice=False,
        ),
        "setup_minutes": StringField("Set-up on the spot before the display", description="min"),
    }
    return type("KeepingForm", (Form,), fields)


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
