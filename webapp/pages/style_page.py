"""Every part of the pages in every state, for whoever builds the next page; what it says is made up."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from flask import Blueprint, Flask, render_template
from werkzeug.datastructures import MultiDict
from wtforms import Form  # type: ignore[import-untyped]

from webapp.advice.brief import Brief
from webapp.advice.contract import Advice
from webapp.catalogue.model import Catalogue, Rule
from webapp.pages.advisor import current_advisor, current_catalogue
from webapp.pages.brief_form import form_class
from webapp.pages.cutaway import Scene, Sizes, scene_of
from webapp.pages.families import facts_of, titles_of
from webapp.pages.formatters import VERDICTS
from webapp.pages.guard import may
from webapp.pages.picture_texts import course_picture
from webapp.pages.problem_texts import Shown
from webapp.pages.quantities import name_in
from webapp.pages.units_switch import reader_measures
from webapp.units import Measures

LONG = "Donaudampfschifffahrtsgesellschaftskapitänsjubiläumstorte " * 3
LARGE_ORDER = Brief.model_validate(
    {"tiers": [{"width_cm": width} for width in (60, 52, 44, 36, 28, 20, 12)], "cupcakes": 2000}, strict=False
)

# Between them: one tier to six and cupcakes alone, every colour, finish, shape and piping, the sun, no support.
_LOOKS: tuple[tuple[tuple[int, ...], dict[str, object]], ...] = (
    ((20,), {"piping": "fine", "colour": "pastel"}),
    ((28, 18), {"piping": "borders", "colour": "deep", "finish": "textured", "sponge": "dense", "setting": "sun"}),
    ((30, 22, 15), {"piping": "rosettes", "supported": False}),
    ((36, 30, 24, 18, 12, 8), {"piping": "borders", "colour": "dark", "cupcakes": 2000, "sponge": "light"}),
    ((), {"piping": "none", "cupcakes": 1}),
)
CAKES = tuple(
    Brief.model_validate({"tiers": [{"width_cm": width} for width in widths], **look}, strict=False)
    for widths, look in _LOOKS
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
@may("staff")
def show_style() -> str:
    catalogue, measures = current_catalogue(), reader_measures()
    wrong = _wrong(measures)
    advice = current_advisor()(CAKES[2], measures)
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
        scenes=_scenes(advice, measures, Sizes.of(catalogue)),
        picture=course_picture(advice, measures),
    )


def _scenes(advice: Advice, measures: Measures, sizes: Sizes) -> list[Scene]:
    """Lay out each cake as one advice has it, with every verdict in turn; the last has nothing that fits."""
    verdicts = itertools.cycle(verdict for verdict in VERDICTS if verdict != "nothing-fits")
    scenes = [
        scene_of(cake, advice.model_copy(update={"verdict": verdict}), measures, sizes)
        for cake, verdict in zip(CAKES, verdicts, strict=False)
    ]
    nothing = {"verdict": "nothing-fits", "pairing": None, "hold": None, "course": None}
    return [*scenes, scene_of(CAKES[0], advice.model_copy(update=nothing), measures, sizes)]


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
