from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.advice.asking import THREE_TIERS, asked
from tests.strategies import briefs
from webapp.advice.food_clock import food_clock
from webapp.advice.plan_options import PlanOptions
from webapp.advice.work_plan import WorkOptions, plan_work
from webapp.units import duration

ROME = ZoneInfo("Europe/Rome")
NOW = dt.datetime(2026, 6, 1, 9, tzinfo=ROME)
DAY = {"date": "2026-06-20", "place": "Verona", "start": "15:00"}


@pytest.fixture(scope="module")
def plan(advisor):
    def planned(coat="swiss-butter", filling=None, options=None, now=NOW, **fields):
        formulations = advisor.catalogue.formulations
        inside = formulations[filling or coat]
        return plan_work(advisor, asked(**DAY | fields), formulations[coat], inside, options or WorkOptions(), now=now)

    return planned


def titles(work):
    return [row.title for row in work.rows]


def test_a_cake_three_weeks_ahead_fits_and_ends_with_the_display(plan):
    work = plan(travel_minutes=30)
    assert work.fits and not work.cannot and not work.changes
    assert work.rows[-1].end == work.display == dt.datetime(2026, 6, 20, 15, tzinfo=ROME)


def test_a_crusting_coat_is_smoothed_on_its_crust_and_piped_after_it_in_one_go(plan):
    work = plan("american-butter", piping="borders")
    assert "Spread the coat, wait for the crust, smooth with paper on the crust, pipe the borders" in titles(work)


def test_a_meringue_coat_is_chilled_before_it_is_smoothed_and_piped(plan):
    work = plan("swiss-butter", piping="borders")
    spread = next(row for row in work.rows if row.title == "Spread the coat")
    smooth = next(row for row in work.rows if row.title == "Smooth with a warm scraper, pipe the borders")
    assert spread.then[0].is_in_fridge and spread.then[0].end <= smooth.start
    assert smooth.start - spread.end >= dt.timedelta(minutes=30)


def test_in_air_too_damp_to_crust_the_american_coat_is_chilled_too(plan):
    assert "Spread the coat" in titles(plan("american-butter", humidity_pct=84))


def test_a_textured_coat_needs_neither(plan):
    assert "Spread the coat, texture the coat, pipe the borders" in titles(plan(finish="textured"))


def test_without_piping_nothing_is_piped(plan):
    assert not [title for title in titles(plan(piping="none")) if "ipe" in title]


def test_coat_and_filling_of_one_kind_are_made_once(plan):
    assert "Make the filling" not in titles(plan())
    assert "Make the filling" in titles(plan("swiss-butter", "american-butter"))


def test_more_batches_take_longer_to_make(plan):
    one, two = (plan(options=WorkOptions(coat_batches=n)) for n in (1, 2))
    lasts = [next(row.end - row.start for row in work.rows if row.title == "Make the coat") for work in (one, two)]
    assert lasts[0] < lasts[1] < 2 * lasts[0]


def test_every_tier_is_worked_on_and_chilled(plan):
    work = plan(tiers=THREE_TIERS)
    for tier in ("bottom tier", "second tier", "top tier"):
        rows = [row for row in work.rows if row.tier == tier]
        assert len(rows) == 3
        assert all(row.then[0].is_in_fridge for row in rows)
    assert "Set the dowels" in titles(work)


def test_the_chill_is_the_one_computed_for_this_tier(plan):
    work = plan(tiers=THREE_TIERS)
    through = [row for row in work.rows if row.title.startswith("Smooth")]
    longest, shortest = (row.then[0].end - row.end for row in (through[0], through[-1]))
    assert longest >= dt.timedelta(hours=15) and shortest >= dt.timedelta(hours=7)
    assert work.fridge[0].core.startswith("15 h")


def test_cupcakes_alone_are_baked_piped_and_boxed(plan):
    work = plan(tiers=[], cupcakes=48)
    assert work.fits
    first, *others = titles(work)
    assert first == "Mix the sponge and fill the tins, bake"
    out = "Out of the fridge to warm up, for the coat: unsalted butter, eggs"
    assert others == [out, "Make the coat", "Pipe the cupcakes", "Box", "Set up"]


def test_a_cake_cut_at_once_is_taken_out_of_the_cold_before_the_display(plan):
    work = plan(hold_hours=0.25)
    last = work.rows[-1]
    assert last.title == "Out of the cold, on the table"
    assert last.end - last.start > dt.timedelta(hours=1)


def test_a_cake_that_is_to_leave_warm_is_let_warm_in_the_kitchen(plan):
    assert "Let it warm in the kitchen" in titles(plan(start_c=15))
    assert "Let it warm in the kitchen" not in titles(plan(start_c=4))


def test_an_order_due_in_two_hours_says_what_cannot_be_done_instead_of_a_plan(plan):
    work = plan(now=dt.datetime(2026, 6, 20, 13, tzinfo=ROME))
    assert not work.fits and not work.rows
    assert work.headline == "This cannot be done for 15:00 on Saturday 20 June."
    said = " ".join(work.cannot)
    assert "Too late for: Mix the sponge and fill the tins; Bake;" in said
    assert "Only this is still ahead: Box; Set up." in said
    assert any(change.startswith("Take the order for Sunday 21 June") for change in work.changes)


def test_the_day_is_the_venues_whatever_zone_the_clock_has(plan):
    # 13:00 UTC is 15:00 in Verona.
    work = plan(now=dt.datetime(2026, 6, 20, 12, 59, tzinfo=dt.UTC), travel_minutes=30)
    assert not work.fits
    assert work.zone == "Europe/Rome"


def test_without_a_place_the_zone_of_the_clock_is_taken_and_told(advisor):
    swiss = advisor.catalogue.formulations["swiss-butter"]
    work = plan_work(advisor, asked(date="2026-06-20"), swiss, swiss, WorkOptions(), now=NOW)
    assert work.zone is None
    assert any("this computer" in note for note in work.notes)


def test_a_clock_without_a_zone_is_refused(plan):
    with pytest.raises(ValueError):
        plan(now=dt.datetime(2026, 6, 1, 9))


def test_a_fridge_too_small_is_told_with_the_places_that_are_missing(plan):
    work = plan(tiers=THREE_TIERS, options=WorkOptions(fridge_tiers=2))
    assert work.cannot == ("The fridge would have to hold 3 tiers at once; it holds 2.",)
    assert work.changes[0].startswith("Make room in the fridge for 3 tiers instead of 2")


def test_a_short_working_day_is_told_with_a_longer_one(plan):
    work = plan(tiers=THREE_TIERS, options=WorkOptions(dt.time(16), dt.time(20), None, 1))
    assert not work.fits
    assert work.changes[0].startswith("Work 10:30 to 20:00 instead of 16:00 to 20:00")
    assert any(change.startswith("Begin up to") for change in work.changes)


def test_what_may_be_done_on_an_earlier_day_is_named(plan):
    said = {row.title: row.earliest_text for row in plan().rows}
    assert said["Mix the sponge and fill the tins, bake"].startswith("from Wed ")
    assert said["Level and fill, crumb coat"].startswith("from Thu ")
    assert said["Box"] == ""


def test_hours_of_shape_and_of_food_safety_are_told_apart(plan):
    work = plan(hold_hours=3, travel_minutes=30)
    assert "rule for homes" in " ".join(work.clocks) and "local food code" in " ".join(work.clocks)
    assert "rule for homes" not in " ".join(work.serving)
    assert {"time-out", "planning-help"} <= {caution.id for caution in work.cautions}
    assert all(caution.source for caution in work.cautions)


def test_above_32_degrees_the_rule_is_one_hour(plan):
    assert "1 h of that rule in such heat" in plan(setting="shade", air_high_c=35).clocks[1]
    assert "2 h of that rule" in plan(setting="shade", air_high_c=25).clocks[1]


def test_the_minutes_are_shown_with_their_basis(plan):
    facts = plan().facts
    assert all(fact.source and fact.basis for fact in facts)
    assert any(fact.title == "Level and fill, each tier" for fact in facts)


def test_options_of_the_kitchen_plan_are_taken_over():
    options = WorkOptions.of(PlanOptions(work_from=dt.time(6), fridge_tiers=2), coat_batches=3)
    assert options == WorkOptions(dt.time(6), dt.time(20), 2, 3, 3, 1)


@settings(max_examples=40)
@given(briefs(), st.integers(0, 60), st.sampled_from(["american-butter", "swiss-butter", "french-butter"]))
def test_any_brief_has_a_plan_or_a_reason(advisor, brief, days, coat):
    formulation = advisor.catalogue.formulations[coat]
    event = dt.datetime.combine(brief.event_date(dt.date(2026, 6, 1)), brief.start_time, dt.UTC)
    now = event - dt.timedelta(days=days, minutes=1)
    work = plan_work(advisor, brief, formulation, formulation, WorkOptions(), now=now)
    assert work.fits == bool(work.rows) == (not work.cannot)
    for row in work.rows:
        assert row.start >= now
        assert row.end <= work.display
        assert all(wait.start >= row.end for wait in row.then)


@pytest.mark.parametrize("coat", ["french-butter", "swiss-butter", "american-butter"])
def test_nothing_is_made_sooner_than_it_keeps_until_the_cake_is_cut(plan, advisor, coat):
    keeps = advisor.catalogue.formulation_fact(advisor.catalogue.formulations[coat], "refrigerated_days").low
    work = plan(coat, hold_hours=5, options=WorkOptions(days_ahead=14))
    made = next(row for row in work.rows if row.title == "Make the coat")
    assert work.cut - made.earliest <= dt.timedelta(days=keeps)
    filled = next(row for row in work.rows if row.title.startswith("Level and fill"))
    assert made.earliest <= filled.earliest


def test_the_kitchen_is_not_judged_by_the_heat_of_the_venue(plan):
    hot = plan("american-butter", piping="rosettes", setting="shade", air_high_c=35, hold_hours=0.75, travel_minutes=0)
    assert "within the 2 h of the rule for homes in a kitchen" in hot.clocks[0]
    assert "of that rule in such heat" in hot.clocks[1] and "in all" in hot.clocks[1]


def test_the_end_of_the_rule_for_homes_is_counted_from_the_fridge(plan):
    work = plan(travel_minutes=30, hold_hours=3)
    out = next(row.start for row in work.rows if row.title == "Box")
    assert f"{out:%H:%M}" == "13:55" and f"{work.cut:%H:%M}" == "18:00"
    assert work.serve_by == (
        "Out of the fridge at 13:55. The 2 h rule for homes is over at 15:55, 2 h 5 min before the cake is cut. "
        "Where your food authority allows a business 4 h, it is over at 17:55, 5 min before it is cut."
    )
    assert work.serving[0].startswith("Out of the fridge at 13:55 and cut at 18:00, the coldest tier has a coat of ")
    assert work.serving[0].endswith(
        "; of its warming only 3 h 30 min are counted, the drive and the display."
    )


def test_a_rule_that_is_not_over_before_the_cake_is_cut_says_so(plan):
    said = plan(hold_hours=0.5).serve_by
    assert "before the cake is cut. Where" in said and said.endswith(", after it is cut.")


def test_the_plan_says_by_how_much_its_clock_is_over_sooner_than_that_of_the_advice(plan, advisor):
    brief = asked(hold_hours=3, travel_minutes=30)
    work = plan(travel_minutes=30, hold_hours=3)
    counted = food_clock(brief, advisor.catalogue, coat_c=20.0)
    out = next(row.start for row in work.rows if row.title == "Box")
    more_h = (work.cut - out).total_seconds() / 3600 - counted.out_h
    assert more_h > 0
    assert work.clocks[1].startswith(f"From the fridge door until it is cut: {duration(counted.out_h + more_h)}, ")
    assert work.clocks[2].startswith(f"The advice counts {duration(counted.out_h)} of it, drive and display alone")
    assert f"over {duration(more_h)} sooner than by the advice" in work.clocks[2]
    # The two ends that a reader can see differ by just that.
    assert f"is over at {out + dt.timedelta(hours=2):%H:%M}" in work.serve_by
    by_advice = work.display + dt.timedelta(hours=counted.limit_h - counted.before_h)
    assert by_advice - dt.timedelta(hours=more_h) == out + dt.timedelta(hours=2)


def test_in_the_heat_the_hour_is_said_with_its_limit(plan):
    assert "The 1 h rule for homes above 32 °C is over at" in plan(setting="shade", air_high_c=35).serve_by


def test_a_cake_that_leaves_warm_has_no_time_of_a_business(plan):
    assert "leaves too warm" in plan(start_c=15).serve_by


def test_a_plan_that_does_not_fit_has_no_time_to_serve_by(plan):
    assert plan(now=dt.datetime(2026, 6, 20, 13, tzinfo=ROME)).serve_by == ""


def test_the_headline_names_the_day_of_every_clock(plan):
    work = plan(tiers=THREE_TIERS, travel_minutes=30)
    assert work.begin.date() < work.display.date()
    assert "on Saturday 20 June, drive off at 1" in work.headline


def test_the_row_and_the_table_have_the_same_minutes_of_chilling(plan):
    work = plan(tiers=THREE_TIERS, options=WorkOptions(coat_batches=1))
    through = [row for row in work.rows if row.title.startswith("Smooth")]
    for row, cells in zip(through, work.fridge, strict=True):
        told = f"into the fridge for {cells.core} or longer until the core is cold, with 30 min to spare"
        assert told in row.then[0].text
        assert row.then[0].short == f"fridge {cells.core.partition(' (')[0]} or longer"


def test_a_task_of_few_minutes_is_told_to_the_minute_in_the_basis(plan):
    facts = {fact.title: fact.minutes for fact in plan(tiers=THREE_TIERS).facts}
    assert facts["Stack the tiers and mend the foot, each tier"] == "6 min (4 to 12 min)"


def test_no_minutes_are_told_raw(plan):
    for hours in (0.25, 1.2, 1.3, 1.35, 1.4):
        steps = [step.minutes for row in plan("swiss-butter", hold_hours=hours).rows for step in row.steps]
        assert not [said for said in steps if "." in said]


def test_the_oven_loads_that_baking_counts_are_told(plan):
    first = plan(tiers=THREE_TIERS).rows[0]
    assert first.steps[1].minutes == "2 h 40 min (1 h 40 min to 4 h), counted as 4 oven loads"


def test_a_day_that_was_assumed_is_told(plan):
    assert plan().assumed_day == ""
    assert plan(date=None).assumed_day.startswith("The day was assumed: no date was given, so Saturday ")


def test_a_buttercream_made_long_before_its_use_waits_in_the_fridge(plan):
    """Seen to fail: it was made on the evening before and nothing said where it stood until noon."""
    work = plan("italian-butter", "swiss-butter", WorkOptions(coat_batches=7, filling_batches=3), tiers=THREE_TIERS)
    made = {row.title: row for row in work.rows if row.title.startswith("Make the")}
    used = min(row.start for row in work.rows if row.title.startswith("Level and fill"))
    assert used - made["Make the filling"].end > dt.timedelta(hours=2)
    (wait,) = made["Make the filling"].then
    assert wait.is_in_fridge and (wait.start, wait.end) == (made["Make the filling"].end, used)
    assert wait.text.startswith("cover it, into the fridge") and wait.of == "the filling"


@pytest.mark.parametrize("batches", [1, 2, 7])
def test_it_is_told_only_where_it_would_stand_longer_than_the_rule_for_homes_allows(plan, batches):
    work = plan("swiss-butter", "french-butter", WorkOptions(coat_batches=batches, filling_batches=batches))
    used = min(row.start for row in work.rows if row.title.startswith("Level and fill"))
    for row in work.rows:
        if row.title.startswith("Make the"):
            assert bool(row.then) == (used - row.end > dt.timedelta(hours=2))


def test_the_buttercream_that_is_not_in_use_goes_back_into_the_fridge_too(plan):
    assert any("So does the buttercream that is not in use, covered." in line for line in plan().clocks)


def test_many_batches_of_a_small_mixer_are_made_over_several_days(plan):
    """Seen to fail: making them was one task longer than any working day, and no change made it fit."""
    evenings = WorkOptions(dt.time(16), dt.time(22), coat_batches=16, days_ahead=5)
    work = plan(options=evenings, start="21:30")
    assert work.fits
    first, second = (row for row in work.rows if row.title.startswith("Make the coat"))
    assert (first.title, second.title) == ("Make the coat (1 of 2)", "Make the coat (2 of 2)")
    assert first.end.date() < second.start.date()
    assert all(row.then and row.then[0].is_in_fridge for row in (first, second))


def test_butter_and_eggs_are_taken_out_before_what_they_are_in_is_made(plan):
    """Seen to fail: no step took the butter out of the fridge."""
    work = plan("swiss-butter", "american-butter", tiers=THREE_TIERS)
    rows = {row.title: row for row in work.rows}
    for role, what in (("coat", "unsalted butter, eggs"), ("filling", "unsalted butter")):
        out = rows[f"Out of the fridge to warm up, for the {role}: {what}"]
        assert out.is_waiting and out.steps[0].minutes == "1 h (30 min to 1 h 30 min)"
        assert out.end <= rows[f"Make the {role}"].start


def test_shortening_is_taken_out_only_where_it_is_kept_cold(plan, advisor):
    (out,) = (title for title in titles(plan("american-shortening")) if title.startswith("Out of the fridge to"))
    assert out.endswith("high-ratio shortening, if it is kept cold")


@pytest.mark.parametrize(("piping", "is_piped"), [("rosettes", True), ("fine", True), ("borders", False)])
def test_the_foot_is_piped_where_the_amounts_have_one(plan, piping, is_piped):
    """Seen to fail: coat was made for the foot and no step piped it. Borders are those of foot and rim."""
    assert any(title.endswith("pipe the foot") for title in titles(plan(piping=piping))) == is_piped


def test_several_tiers_are_stacked_where_the_cake_stands_and_coat_goes_along(plan):
    """Seen to fail: "Set up" alone, with the stacking in a locator."""
    work = plan(tiers=THREE_TIERS, travel_minutes=30, options=WorkOptions(mending_g=101))
    assert titles(work)[-2:] == ["Set up", "Stack the tiers and mend the foot"]
    assert "Load the car, with about 110 g of coat in a piping bag" in titles(work)
    assert "Stack the tiers and mend the foot" not in titles(plan(travel_minutes=30))
