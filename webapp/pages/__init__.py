"""The pages and the API: the only Flask and WTForms code. Calls the advice; computes nothing itself."""

from __future__ import annotations

from typing import Any

from flask import Flask

from webapp.advice.brief import Brief
from webapp.pages import (
    advice_page,
    api,
    brief_fields,
    brief_form,
    errors,
    families,
    formatters,
    formula_links,
    glossary,
    headers,
    keeping,
    label,
    own_formula,
    picture_pages,
    plan,
    style_page,
    substitutes,
    units_switch,
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


def init_app(app: Flask) -> None:
    """Register every page; each concern registers itself."""
    concerns = (headers, errors, units_switch, advice_page, picture_pages, families, glossary, style_page, api)
    for concern in (*concerns, formula_links, own_formula, substitutes, label, keeping, work_plan_page, plan):
        concern.init_app(app)
    app.context_processor(_everywhere)
    app.jinja_env.finalize = formatters.unbroken
