"""Every part of the pages in every state, for whoever builds the next page; what it says is made up."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Flask, render_template
from werkzeug.datastructures import MultiDict
from wtforms import Form  # type: ignore[import-untyped]

from webapp.advice.brief import Brief
from webapp.catalogue.model import Catalogue, Rule
from webapp.pages.advisor import current_catalogue
from webapp.pages.brief_form import form_class
from webapp.pages.families import facts_of, titles_of
from webapp.pages.formatters import VERDICTS
from webapp.pages.problem_texts import Shown
from webapp.pages.quantities import name_in
from webapp.pages.units_switch import reader_measures
from webapp.units import Measures

LONG = "Donaudampfschifffahrtsgesellschaftskapitänsjubiläumstorte " * 3
LARGE_ORDER = Brief.model_validate(
    {"tiers": [{"width_cm": width} for width in (60, 52, 44, 36, 28, 20, 12)], "cupcakes": 2000}, strict=False
)

blueprint = Blueprint("style", __name__)


@dataclass(frozen=True, slots=True)
class Named:
    """One side of a pairing on this page."""

    name: str
    family: str
    formulation: str


@dataclass(frozen=True, slots=True)
class Paired:
    """A pairing on this page."""

    coat: Named
    filling: Named


@blueprint.get("/style")
def show_style() -> str:
    catalogue, measures = current_catalogue(), reader_measures()
    wrong = _wrong(measures)
    return render_template(
        "style.html",
        verdicts=VERDICTS,
        usual=_form(measures, "usual-"),
        wrong=_form(measures, "wrong-", air_high_c="hot", setting="moon", diet="egg-free", weather=LONG),
        errors={problem.element: problem.text for problem in wrong},
        problems=wrong,
        pairing=_pairing(catalogue),
        cautions=_cautions(catalogue),
        facts=facts_of("american", catalogue)[:3],
        citations=titles_of(catalogue),
        long=LONG,
        large=LARGE_ORDER,
    )


def _form(measures: Measures, prefix: str, **typed: str) -> Form:
    typed |= {"setting": typed.get("setting", "shade"), "equipment": "stand-mixer"}
    pairs = {prefix + name_in(measures, name): text for name, text in typed.items()}
    return form_class(measures)(MultiDict(pairs), prefix=prefix)


def _wrong(measures: Measures) -> list[Shown]:
    said = {
        "air_high_c": "Enter the warmest air as a number.",
        "setting": "Choose where the cake stands.",
        "piping": "Choose the piped detail.",
        "diet": "Choose what it must be free of.",
        "weather": "Give each hour a line of its own.",
    }
    form = _form(measures, "wrong-")
    return [Shown(field, form[field].id, text) for field, text in said.items()]


def _pairing(catalogue: Catalogue) -> Paired:
    coat, filling = sorted(catalogue.formulations.values(), key=lambda made: -len(made.name))[:2]
    return Paired(*(Named(made.name, made.family.id, made.id) for made in (coat, filling)))


def _cautions(catalogue: Catalogue) -> list[Rule]:
    return [rule for rule in catalogue.rules.values() if rule.kind == "caution"][:2]


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
