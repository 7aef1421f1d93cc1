"""What the template of the work plan needs beside the plan itself, and its calendar as a download."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Flask, Response, make_response

from webapp.advice.work_sheet import WorkPlan
from webapp.pages.advisor import current_catalogue
from webapp.pages.work_timeline import Timeline, timeline_of
from webapp.units import Measures

ASK_FOR_LESS = (
    "No single change within two weeks does. Ask for less: fewer tiers, no piping, a textured coat, or fewer batches "
    "in a larger bowl."
)


@dataclass(frozen=True, slots=True)
class WorkPage:
    """The picture, the bibliography and the clock of the display."""

    timeline: Timeline | None
    citations: dict[str, str]
    display_clock: str
    ask_for_less: str = ASK_FOR_LESS


def shown_work(work: WorkPlan, measures: Measures) -> WorkPage:
    is_another_day = not work.days or work.display.date() != work.days[-1].date
    begins = measures.moment(work.display) if is_another_day else measures.clock(work.display)
    return WorkPage(
        timeline=timeline_of(work, measures),
        citations={key: source.citation for key, source in current_catalogue().sources.items()},
        display_clock=f"{begins} to {measures.clock(work.cut)}",
    )


def calendar_response(work: WorkPlan, address: str) -> Response:
    """Give the plan as a calendar file, or say why there is none; ``address`` is the plan's own page."""
    if work.assumed_day:
        return _refused([work.assumed_day, "A calendar is made for a day that was given."])
    if not work.fits:
        lines = [work.headline, *work.cannot, "What would make it fit:", *(work.changes or [ASK_FOR_LESS])]
        return _refused(lines)
    from webapp.pages.calendar import calendar_of, stamp_now  # the library loads with the first download

    response = make_response(calendar_of(work, address, stamp_now()))
    response.headers["Content-Type"] = "text/calendar; charset=utf-8"
    response.headers["Content-Disposition"] = f'attachment; filename="work-plan-{work.display:%Y-%m-%d}.ics"'
    return response


def _refused(lines: list[str]) -> Response:
    response = make_response("\n".join(lines) + "\n", 409)
    response.mimetype = "text/plain"
    return response


def init_app(app: Flask) -> None:
    app.jinja_env.globals["shown_work"] = shown_work
