"""The kitchen plan of an advised brief: the page for the wall, the shopping page and the downloads."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from flask import Blueprint, Flask, Response, make_response, redirect, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from webapp.advice.brief import Brief
from webapp.advice.contract import Advice
from webapp.advice.kitchen_plan import KitchenPlan, PlanOptions, plan_kitchen, rings_filling
from webapp.advice.work_plan import WorkOptions, plan_work
from webapp.advice.work_sheet import WorkPlan
from webapp.catalogue.model import Catalogue
from webapp.errors import BriefError
from webapp.pages import plan_words, shopping_words
from webapp.pages.advice_page import refused_page
from webapp.pages.advisor import current_advisor, current_catalogue
from webapp.pages.brief_address import Pair, address_of, brief_of, pairs_of
from webapp.pages.families import titles_of
from webapp.pages.guard import may
from webapp.pages.plan_options import MEASURED, apart, options_form, options_of, shown, taken_unsaid, with_options
from webapp.pages.problem_texts import Shown
from webapp.pages.quantities import name_in
from webapp.pages.shop_advice import current_service
from webapp.pages.shop_prices import price_digits, shop_currency, shop_packs, shop_prices, with_shop_prices
from webapp.pages.spreadsheets import CSV, XLSX, csv_of, xlsx_of
from webapp.pages.units_switch import reader_measures
from webapp.units import MEASURES, Measures

PAGE, SHOPPING = "/plan", "/plan/shopping"
DOWNLOADS = {"csv": (CSV, csv_of), "xlsx": (XLSX, xlsx_of)}

blueprint = Blueprint("plan", __name__)


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks for, worked out as far as it can be."""

    brief: Brief
    brief_pairs: list[Pair]
    option_pairs: list[Pair]
    advice: Advice
    catalogue: Catalogue
    advised: tuple[str, str] | None
    options: PlanOptions
    plan: KitchenPlan | None
    problems: list[Shown]

    @property
    def typed_prices(self) -> list[str]:
        """The prices of the address, each as it was typed."""
        return [text for name, text in self.option_pairs if name == "price"]

    @property
    def currency(self) -> str:
        """The currency of the address, else the shop's."""
        return dict(self.option_pairs).get("currency") or shop_currency()

    def address(self, page: str) -> str:
        """Write the address of a page or a download about the same plan."""
        return with_options(address_of(self.brief, page), self.option_pairs)


def _parted() -> tuple[list[Pair], list[Pair]]:
    usual, own = shop_packs(current_catalogue()), shop_prices().packs
    return apart(request.args.items(multi=True), usual, own, shop_currency())


def _asked(measures: Measures) -> Asked:
    """Read and plan what the address asks for; what is wrong with the options is told on the page."""
    brief_pairs, option_pairs = _parted()
    brief = brief_of(brief_pairs)
    advice = current_advisor()(brief, measures)
    catalogue = current_service().entering(brief).catalogue
    advised = (advice.pairing.coat.formulation, advice.pairing.filling.formulation) if advice.pairing else None
    options, plan, problems = PlanOptions(), None, list[Shown]()
    try:
        options = with_shop_prices(options_of(option_pairs), option_pairs, catalogue)
        plan = _planned(brief, advice, advised, catalogue, options)
    except BriefError as refused:
        problems = shown(refused.problems, measures)
    return Asked(brief, brief_pairs, option_pairs, advice, catalogue, advised, options, plan, problems)


def _planned(
    brief: Brief, advice: Advice, advised: tuple[str, str] | None, catalogue: Catalogue, options: PlanOptions
) -> KitchenPlan | None:
    if advised is None or advice.pairing is None:
        return None
    chosen = options.coat or advised[0], options.filling or advised[1]
    known = [catalogue.formulations.get(id_) for id_ in chosen]
    needs_dam = advice.pairing.needs_dam
    if chosen != advised and known[0] and known[1]:
        needs_dam = rings_filling(known[0], known[1], brief, catalogue)
    others = [advised, *((each.coat.formulation, each.filling.formulation) for each in advice.pairings)]
    return plan_kitchen(brief, advised, catalogue, options, needs_dam=needs_dam, others=others)


def _canonical(asked: Asked, page: str) -> str | None:
    """Give the one address of what is asked, where the request's is another."""
    wanted = [*pairs_of(asked.brief), *asked.option_pairs]
    given = [pair for pair in request.args.items(multi=True) if pair[0] != "units"]
    if given == wanted:
        return None
    units = request.args.get("units", "")
    return with_options(asked.address(page), [("units", units)] if units in MEASURES else [])


@blueprint.get(PAGE)
@may("staff")
def plan_page() -> AnyResponse:
    return _page(PAGE, "plan.html")


@blueprint.get(SHOPPING)
@may("staff")
def shopping_page() -> AnyResponse:
    return _page(SHOPPING, "shopping.html")


def _page(page: str, template: str) -> AnyResponse:
    measures = reader_measures()
    try:
        asked = _asked(measures)
    except BriefError as refused:
        return refused_page(_parted()[0], refused, measures)
    if not asked.problems and (address := _canonical(asked, page)):
        return redirect(address, 303)
    work = _work(asked, measures) if page == PAGE else None
    shown_page = render_template(
        template,
        asked=asked,
        plan=asked.plan,
        brief=asked.brief,
        advice=asked.advice,
        work=work,
        form=options_form(asked.catalogue, asked.option_pairs, asked.advised, measures, shop_currency()),
        entries={option: name_in(measures, option) for option in MEASURED},
        taken=taken_unsaid(asked.catalogue, measures),
        problems=asked.problems,
        errors={problem.element: problem.text for problem in asked.problems},
        told=plan_words,
        bought=shopping_words,
        price_digits=price_digits,
        measures=measures,
        citations=titles_of(asked.catalogue),
        addresses={
            "plan": asked.address(PAGE),
            "shopping": asked.address(SHOPPING),
            "ics": asked.address("/plan.ics"),
            **{kind: asked.address(f"/plan.{kind}") for kind in DOWNLOADS},
        },
        advice_address=address_of(asked.brief),
        plain_address=address_of(asked.brief, page),
        change_address=address_of(asked.brief, "/"),
    )
    return make_response(shown_page, 422 if asked.problems else 200)


def _work(asked: Asked, measures: Measures) -> WorkPlan | None:
    plan = asked.plan
    if plan is None:
        return None
    batches = {role: sum(batch.times for batch in m.preparation.batches) for m in plan.makings for role in m.roles}
    return plan_work(
        current_service().entering(asked.brief),
        asked.brief,
        plan.coat,
        plan.filling,
        WorkOptions.of(asked.options, batches.get("coat", 1), batches.get("filling", 1), plan.mending_g),
        now=dt.datetime.now().astimezone(),  # the clock is read here, at the border
        measures=measures,
    )


@blueprint.get("/plan.<any(csv, xlsx):kind>")
@may("staff")
def download(kind: str) -> AnyResponse:
    asked = _asked(reader_measures())
    if asked.plan is None:
        return _refused([problem.text for problem in asked.problems] or [asked.advice.headline])
    mimetype, written = DOWNLOADS[kind]
    response = make_response(written(asked.plan))
    response.headers["Content-Type"] = mimetype
    response.headers["Content-Disposition"] = f'attachment; filename="kitchen-plan.{kind}"'
    return response


@blueprint.get("/plan.ics")
@may("staff")
def calendar() -> AnyResponse:
    from webapp.pages.work_plan_page import calendar_response

    measures = reader_measures()
    asked = _asked(measures)
    work = _work(asked, measures)
    if work is None:
        return _refused([problem.text for problem in asked.problems] or [asked.advice.headline])
    return calendar_response(work, request.host_url.rstrip("/") + asked.address(PAGE))


def _refused(lines: list[str]) -> Response:
    """A download that cannot be made is a text that says why."""
    response = make_response("\n".join(lines) + "\n", 422)
    response.mimetype = "text/plain"
    return response


@blueprint.errorhandler(BriefError)
def refuse(refused: BriefError) -> Response:
    return _refused([f"{p.field}: {p.problem}. What fits: {p.allowed}" for p in refused.problems])


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
