from __future__ import annotations

import datetime as dt

import pytest
from markupsafe import Markup

from tests.pages.sample_advice import garden_wedding
from webapp.advice.brief import Brief, Tier
from webapp.catalogue.model import Fact
from webapp.pages import formatters as fmt
from webapp.units import METRIC, US


@pytest.mark.parametrize(
    ("share", "text"), [(1.0, "over 99 %"), (0.0, "under 1 %"), (0.005, "under 1 %"), (0.934, "93 %")]
)
def test_a_chance_never_claims_certainty(share: float, text: str) -> None:
    assert fmt.chance(share) == text


def test_a_day_stays_on_one_line() -> None:
    assert fmt.day(dt.date(2027, 6, 6), METRIC) == "6\xa0June\xa02027"
    assert fmt.day(dt.date(2027, 6, 6), US) == "June\xa06,\xa02027"


@pytest.mark.parametrize(
    ("code", "text"),
    [
        ("event", "At the event"),
        ("load:1-kpa", "Under 1 kPa of tiers"),
        ("forkful-sweetness:2", "A forkful that is a little sweet"),
        ("piping:fine", "Piping, fine"),
    ],
)
def test_what_a_fact_is_about_is_said_in_words(code: str, text: str) -> None:
    assert fmt.subject_name(code) == text


def test_a_difference_below_zero_has_a_minus_and_no_hyphen() -> None:
    spare = Fact("american", "filling_margin", -6.0, -13.0, 1.0, "K", "computed", "computed", "", dt.date(2026, 11, 24))
    assert fmt.fact_range(spare, METRIC) == "−6 °C (−13 to 1 °C)"


@pytest.mark.parametrize(("number", "text"), [(31.0, "31"), (-2.5, "−2.5"), (0.256, "0.26"), (100, "100")])
def test_numbers_lose_their_needless_zeros(number: float, text: str) -> None:
    assert fmt.tidy(number) == text


def test_beyond_the_horizon_nothing_is_claimed() -> None:
    assert fmt.lasting(12.0) == "12 h or more"
    assert fmt.lasting(11.5) == "11 h 30 min"


def test_a_hold_is_written_with_its_range() -> None:
    hold = garden_wedding(Brief()).hold
    assert hold is not None
    assert fmt.hold_range(hold) == "3 h 40 min (3 h 5 min to 4 h 35 min)"
    endless = hold.model_copy(update={"low_h": 12.0, "likely_h": 12.0, "high_h": 12.0})
    assert fmt.hold_range(endless) == "12 h or more"


def _fact(value: float, low: float, high: float, unit: str) -> Fact:
    day = dt.date(2026, 6, 1)
    return Fact("swiss", "softens", value, low, high, unit, "common-practice", "common-practice", "", day)


def test_a_fact_is_written_with_its_range_in_the_units_of_the_reader() -> None:
    assert fmt.fact_range(_fact(25, 20, 30, "C"), METRIC) == "25 °C (20 to 30 °C)"
    assert fmt.fact_range(_fact(25, 20, 30, "C"), US) == "77 °F (68 to 86 °F)"
    assert fmt.fact_range(_fact(5, 5, 10, "K"), US) == "9 °F (9 to 18 °F)"
    assert fmt.fact_range(_fact(1.8, 0.9, 3.6, "feel/K"), METRIC) == "1.8 of 10 for each °C (0.9 to 3.6)"
    assert fmt.fact_range(_fact(1.8, 0.9, 3.6, "feel/K"), US) == "1 of 10 for each °F (0.5 to 2)"
    assert fmt.fact_range(_fact(8, 7, 9, "feel"), US) == "8 of 10 (7 to 9)"
    assert fmt.fact_range(_fact(2, 2, 2, "-"), METRIC) == "2"
    assert fmt.fact_range(_fact(0.15, 0.05, 0.3, "share"), METRIC) == "15 % (5 to 30 %)"


@pytest.mark.parametrize(
    ("peak_c", "low_c", "high_c", "text"),
    [(29, 28, 32, "29 °C (28 to 32 °C)"), (29, 29, 29, "29 °C"), (45, 44, 45, "44 °C to 45 °C or more")],
)
def test_the_warmest_coat_is_said_with_its_range_and_not_beyond_where_it_runs_off(
    peak_c: float, low_c: float, high_c: float, text: str
) -> None:
    hold = garden_wedding(Brief()).hold
    assert hold is not None
    peaks = {"peak_coat_c": peak_c, "peak_low_c": low_c, "peak_high_c": high_c}
    assert fmt.peak(hold.model_copy(update=peaks), METRIC) == text


@pytest.mark.parametrize(("cupcakes", "said"), [(1, "1 cupcake"), (2, "2 cupcakes")])
def test_one_cupcake_is_no_cupcakes(cupcakes: int, said: str) -> None:
    assert fmt.cake_in_words(Brief(tiers=(), cupcakes=cupcakes), METRIC) == said


def test_what_to_use_is_said_in_one_line() -> None:
    pairing = garden_wedding(Brief()).pairing
    assert pairing is not None
    cupcakes = Brief(tiers=(), cupcakes=12)
    assert fmt.pairing_in_words(pairing, Brief()) == "American buttercream outside, Swiss between the layers"
    assert fmt.pairing_in_words(pairing, cupcakes) == "American buttercream on top, Swiss inside"
    one_batch = pairing.model_copy(update={"filling": pairing.coat})
    assert fmt.pairing_in_words(one_batch, Brief()) == "American buttercream outside and between the layers"


@pytest.mark.parametrize(
    ("field", "value", "text"),
    [
        ("air_high_c", 31.0, "31 °C"),
        ("setting", "shade", "Outdoors, in the shade"),
        ("supported", True, "Yes"),
        ("sweetness", 2, "A little"),
        ("diet", ["vegan", "soy-free"], "Anything from animals (vegan), Soy"),
        ("diet", [], "none"),
        ("hold_hours", 1.25, "1 h 15 min"),
        ("start", "17:30", "17:30"),
        ("tiers.0.width_cm", 30.0, "30 cm"),
    ],
)
def test_values_of_the_brief_are_written_as_people_say_them(field: str, value: object, text: str) -> None:
    assert fmt.brief_value(field, value, METRIC) == text


def test_a_cake_is_said_in_one_line() -> None:
    brief = Brief(tiers=(Tier(width_cm=30.0), Tier(shape="square", width_cm=20.0)), cupcakes=24)
    assert fmt.cake_in_words(brief, METRIC) == "2 tiers (round 30 cm, square 20 cm) and 24 cupcakes"
    assert fmt.cake_in_words(Brief(tiers=(), cupcakes=12), US) == "12 cupcakes"


def test_a_number_is_not_parted_from_its_unit() -> None:
    assert fmt.unbroken("31 °C for 3 h 10 min") == "31\xa0°C for 3\xa0h 10\xa0min"
    assert fmt.unbroken("6 others, 3 hours") == "6 others, 3 hours"
    assert fmt.unbroken(3) == 3


@pytest.mark.parametrize("hidden", ["\x00", "\x1b", "\x85", "\ud800", "\ufdd0", "\uffff", "\U0010ffff"])
def test_what_no_page_may_hold_is_shown_as_unreadable(hidden: str) -> None:
    assert fmt.presentable(f"3{hidden}1 °C") == "3\ufffd1\xa0°C"
    kept = fmt.presentable(Markup(f"<b>{hidden}</b>"))
    assert isinstance(kept, Markup) and kept == "<b>\ufffd</b>"


def test_what_a_page_may_hold_stays_as_it_is() -> None:
    for text in ("Zoë\tMüller\r\n", "\U0001f382 مرحبا", Markup("<i>é</i>"), 3, None):
        assert fmt.presentable(text) is text or fmt.presentable(text) == text


def test_degrees_in_a_text_of_the_data_are_the_readers() -> None:
    text = "at 4 °C or colder, frozen at −18 °C"
    assert fmt.in_degrees(text, METRIC) in (text, text.replace("−", "-"))
    assert fmt.in_degrees(text, US) == "at 39 °F or colder, frozen at 0 °F"
