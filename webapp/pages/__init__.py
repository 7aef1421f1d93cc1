"""The pages and the API: the only Flask and WTForms code. Calls the advice; computes nothing itself."""

from __future__ import annotations

from typing import Any

from flask import Flask

from webapp.advice.brief import Brief
from webapp.pages import (
    accounts,
    advice_page,
    after_event,
    api,
    brief_fields,
    brief_form,
    comparing,
    consultations,
    csrf,
    drafts,
    errors,
    families,
    formatters,
    formula_links,
    glossary,
    guard,
    headers,
    keeping,
    kept_brief,
    label,
    own_formula,
    picture_pages,
    plan,
    session,
    sheet,
    shop_settings,
    style_page,
    substitutes,
    units_switch,
    versions,
    work_plan_page,
)


def _everywhere() -> dict[str, Any]:
    measures = units_switch.reader_measures()
    return {
        "measures": measures,
        "habits": units_switch.HABITS,
        "fmt": formatters,
        "taken": Brief(),
        "criteria_names": brief_fields.CRITERIA,
        "opened": brief_form.has_entries,
    }


def _own_degrees_first(text: str) -> str:
    return formatters.own_degrees_first(text, units_switch.reader_measures())


def init_app(app: Flask) -> None:
    """Register every page; each concern registers itself."""
    doors = (headers, session, csrf, guard, errors, accounts)  # in the order in which a request meets them
    concerns = (units_switch, advice_page, picture_pages, families, glossary, style_page, api)
    lasting = (versions, consultations, kept_brief, drafts, comparing, sheet, after_event, shop_settings)
    kitchen = (formula_links, own_formula, substitutes, label, keeping, work_plan_page, plan)
    for concern in (*doors, *concerns, *lasting, *kitchen):
        concern.init_app(app)
    guard.check_routes(app)
    app.context_processor(_everywhere)
    app.jinja_env.filters["own_degrees_first"] = _own_degrees_first
    app.jinja_env.finalize = formatters.presentable
