from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from tests.advice.asking import asked
from tests.decision.builders import hold
from webapp.advice import phrases
from webapp.advice.heat import PartHold
from webapp.advice.holds import CoatHold
from webapp.advice.levers import Lever, Stress, stress_of
from webapp.catalogue.model import Catalogue
from webapp.decision.model import HoldFacts
from webapp.units import METRIC, US, lasting, lasting_between, lasting_with_range


def held(likely_h: float, low_h: float, high_h: float, needed_h: float = 3) -> HoldFacts:
    return replace(hold(likely_h, needed_h), low_h=low_h, high_h=high_h)


def part(*hours: float, needed_h: float = 3) -> PartHold:
    each = np.array([hours])
    return PartHold(hours=each, stands=each >= needed_h, threshold=each, peak=each[0])


@pytest.mark.parametrize(
    ("id_", "said"),
    [
        ("american-half-shortening", "American buttercream (half butter and half high-ratio shortening)"),
        ("swiss-butter", "Swiss buttercream (all butter)"),
        ("swiss-aquafaba-plant", "Swiss style buttercream (aquafaba and plant block)"),
        ("italian-pasteurised-whites", "Italian buttercream (pasteurised whites and butter)"),
    ],
)
def test_a_formulation_is_named_by_its_family_and_its_fat(catalogue: Catalogue, id_: str, said: str) -> None:
    assert phrases.spoken(catalogue.formulations[id_]) == said


def test_a_formulation_without_a_second_name_is_its_family(catalogue: Catalogue) -> None:
    plain = replace(catalogue.formulations["swiss-butter"], name="Swiss")
    assert phrases.spoken(plain) == "Swiss buttercream"


@pytest.mark.parametrize(
    ("hours", "said"),
    [(0, "0 min"), (0.4, "25 min"), (1, "1 h"), (3.17, "3 h 10 min"), (11.9, "11 h 55 min"), (12, "12 h or more")],
)
def test_hours_are_said_to_five_minutes_up_to_the_horizon(hours: float, said: str) -> None:
    assert lasting(hours) == said


def test_a_range_whose_ends_would_be_said_alike_is_said_outwards() -> None:
    assert lasting_between(2.33, 4.5) == "2 h 20 min to 4 h 30 min"
    assert lasting_between(2.0, 2.0) == "2 h"
    assert lasting_between(2.0, 2.01) == "2 h to 2 h 5 min"
    assert lasting_between(0.16, 0.17) == "5 to 15 min"
    assert lasting_between(11.97, 12) == "12 h or more"
    assert lasting_between(12, 12) == "12 h or more"


def test_a_hold_is_said_with_its_range_and_the_need() -> None:
    assert phrases.hold_phrase(held(3.17, 2.33, 4.5)) == (
        "likely to hold 3 h 10 min (2 h 20 min to 4 h 30 min); you need 3 h"
    )


def test_a_certain_hold_needs_no_range() -> None:
    assert phrases.hold_phrase(held(12, 12, 12)) == "likely to hold with hours to spare (12 h or more); you need 3 h"


def test_a_cake_that_arrives_soft_is_said_to_with_what_it_may_still_last() -> None:
    assert phrases.hold_phrase(held(0, 0, 0.5)) == ("likely to be too soft on arrival (0 to 30 min); you need 3 h")


def test_a_cake_cut_at_once_needs_no_hours() -> None:
    assert phrases.hold_phrase(held(12, 12, 12, needed_h=0)).endswith("; you cut it at once")


@pytest.mark.parametrize(
    ("verdict", "said"),
    [
        ("holds", "Likely to hold 4 h (2 h to 6 h); you need 3 h."),
        (
            "marginal",
            "It may not hold: nearly all cakes keep their look for the 3 h you need; "
            "the others may lose it after as little as 2 h.",
        ),
        ("no-coat-holds", "Even the best coat is likely to hold 4 h (2 h to 6 h); you need 3 h."),
    ],
)
def test_the_headline_leads_with_the_verdict(verdict: str, said: str) -> None:
    assert phrases.headline(verdict, held(4, 2, 6)) == said


def test_where_nothing_holds_and_the_piping_goes_first_the_hold_is_said_to_be_the_pipings() -> None:
    assert phrases.headline("no-coat-holds", held(0.17, 0.1, 0.4), piping_goes_first=True) == (
        "Even on the best coat the piping is likely to hold 10 min (5 to 25 min); you need 3 h."
    )


@pytest.mark.parametrize(
    ("text", "said"), [("it holds", "It holds."), ("It holds!", "It holds!"), ("why?", "Why?"), ("At 4 °C", "At 4 °C.")]
)
def test_a_sentence_starts_large_and_ends_once(text: str, said: str) -> None:
    assert phrases.sentence(text) == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (1.0, "nearly always"),
        (0.97, "nearly always"),
        (0.96, "about 9 times in 10"),
        (0.55, "about 6 times in 10"),
        (0.5, "about 5 times in 10"),
        (0.04, "about 1 time in 10"),
        (0.03, "hardly ever"),
        (0.0, "hardly ever"),
    ],
)
def test_a_chance_is_said_in_tenths_and_never_as_certain(chance: float, said: str) -> None:
    assert phrases.in_ten(chance) == said


def test_a_part_is_said_with_its_range_and_its_chance() -> None:
    said = phrases.part_sentence("the coat", part(1.0, 4.0, 4.0, 4.0, 8.0), 3)
    assert said == "The coat likely keeps its shape 4 h (2 h 10 min to 6 h 25 min); long enough about 8 times in 10."


def test_a_part_that_is_soft_on_arrival_is_said_to_be() -> None:
    said = phrases.part_sentence("the filling", part(0.0, 0.0, 0.0, 0.0, 0.0), 3)
    assert said == "The filling is likely to be soft on arrival; hardly ever long enough."


def test_a_part_of_a_cake_cut_at_once_only_has_to_arrive() -> None:
    said = phrases.part_sentence("the piping", part(12.0, 12.0, needed_h=0), 0)
    assert said == "The piping likely keeps its shape 12 h or more; nearly always in shape on arrival."


def test_the_setting_is_said_in_the_reader_s_degrees() -> None:
    shade = asked(setting="shade", air_high_c=31)
    assert phrases.setting_phrase(shade, METRIC) == "in the shade at up to 31 °C"
    assert phrases.setting_phrase(shade, US) == "in the shade at up to 88 °F"
    assert phrases.setting_phrase(asked(air_high_c=21), METRIC) == "indoors at 21 °C"


@pytest.mark.parametrize(
    ("lever", "said"),
    [
        (("hold_hours", 3.0, 1.25, ()), "Cut it after 1 h 15 min, or put it back in the cool then, and"),
        (("start_c", 20.0, 4.0, ()), "Let it leave the kitchen at 4 °C, and"),
        (("colour", "deep", "pastel", ()), "Make it a pastel instead of a deep colour, and"),
        (("coat_mm", 7.0, 12.0, ()), "Spread the coat 12 mm thick, and"),
        (("start", dt.time(12), dt.time(18, 30), ()), "Bring it out at 18:30 instead of 12:00, and"),
        (("air_high_c", 28.0, 24.0, ()), "Cool the room to 24 °C, and"),
        (("setting", "sun", "indoors", (("air_high_c", 22.0),)), "Keep it indoors at 22 °C until it is cut, and"),
        (("setting", "sun", "tent", ()), "Stand it in a tent, and"),
    ],
)
def test_every_lever_says_what_to_do_and_what_it_brings(lever: tuple[object, ...], said: str) -> None:
    field, before, after, also = lever
    brief = asked(setting="sun", colour="deep", start="12:00")
    effect = phrases.lever_effect(Lever(str(field), before, after, also, 0.91, 0.3), brief, METRIC)  # type: ignore[arg-type]
    assert effect == f"{said} a coat holds about 9 times in 10."


def test_stress_is_said_for_heat_for_delay_and_for_both() -> None:
    fine, hot = part(12.0, 12.0, 3.5, 3.5), part(3.5, 1.0, 1.0, 1.0)
    stress = stress_of(CoatHold(fine, None, fine), [CoatHold(hot, None, hot)] * 3, asked())
    assert phrases.stress_sentence(stress, METRIC) == (
        "The coat has hardly any heat to spare: 1 °C hotter it is a toss-up. "
        "3 °C hotter than given it holds about 3 times in 10; cut an hour late, about 5 times in 10; with both, "
        "hardly ever."
    )
    assert "5 °F hotter" in phrases.stress_sentence(stress, US)


def test_heat_to_spare_is_told_from_the_first_doubt_to_an_even_chance() -> None:
    def told(chances: list[float]) -> str:
        parts = [part(*(4.0 if n < 100 * chance else 1.0 for n in range(100))) for chance in chances]
        holds = [CoatHold(each, None, each) for each in parts]
        return phrases.stress_sentence(stress_of(holds[0], holds[1:], asked()), METRIC)

    assert told([1.0, 1.0, 0.8, 0.2]).startswith("Up to 2 °C hotter the coat still holds; 5 °C hotter it is a toss-up.")
    assert told([1.0, 1.0, 0.8, 0.6]).startswith(
        "Up to 2 °C hotter the coat still holds; even 6 °C hotter it more likely holds than not."
    )
    assert told([1.0, 0.8, 0.7, 0.4]).startswith(
        "The coat has hardly any heat to spare: 1 °C hotter it may not hold; 5 °C hotter it is a toss-up."
    )
    # Seen to fail: "4 °C hotter it is a toss-up. 3 °C hotter than given it holds about 5 times in 10".
    assert told([1.0, 0.8, 0.52, 0.2]).startswith(
        "The coat has hardly any heat to spare: 1 °C hotter it may not hold; 3 °C hotter it is a toss-up. "
        "Cut an hour late it nearly always holds; with both, about 5 times in 10."
    )
    assert told([1.0, 0.9, 0.4, 0.2]).startswith(
        "Up to 1 °C hotter the coat still holds; 3 °C hotter it is a toss-up at best. 3 °C hotter than given it holds"
    )
    assert told([1.0, 1.0, 1.0, 1.0]).startswith("3 °C hotter than given")
    assert told([0.8, 0.8, 0.7, 0.4]).startswith("3 °C hotter than given")


def test_heat_to_spare_is_rounded_down_in_the_readers_own_degrees() -> None:
    fine = part(4.0, 4.0)
    stress = replace(stress_of(CoatHold(fine, None, fine), [CoatHold(fine, None, fine)] * 3, asked()), even_k=2.6)
    for spare_k, metric, us in ((1.0, "Up to 1 °C", "Up to 1 °F"), (1.7, "Up to 1 °C", "Up to 3 °F")):
        said = [phrases.stress_sentence(replace(stress, spare_k=spare_k), measures) for measures in (METRIC, US)]
        assert said[0].startswith(f"{metric} hotter the coat still holds; 3 °C hotter it is a toss-up.")
        assert said[1].startswith(f"{us} hotter the coat still holds; 5 °F hotter it is a toss-up.")


def test_a_toss_up_is_never_told_at_more_heat_than_a_lesser_chance() -> None:
    # Seen to fail: "6 °F hotter it is a toss-up. 5 °F hotter than given it holds about 4 times in 10".
    stress = Stress(chance=0.98, hotter=0.4, later=0.98, both=0.3, spare_k=1.2, even_k=2.8)
    assert phrases.stress_sentence(stress, US).startswith(
        "Up to 2 °F hotter the coat still holds; 5 °F hotter it is a toss-up at best. 5 °F hotter than given it "
        "holds about 4"
    )


def test_what_is_not_cut_is_served_late() -> None:
    fine, hot = part(12.0, 3.5), part(3.5, 1.0)
    stress = stress_of(CoatHold(fine, None, fine), [CoatHold(hot, None, hot)] * 3, asked())
    assert "; served an hour late" in phrases.stress_sentence(stress, METRIC, has_tiers=False)


def test_a_doubtful_headline_is_of_cakes_and_of_how_early_the_look_may_go() -> None:
    doubtful = replace(held(12, 0.6, 12), chance=0.6)
    assert phrases.headline("marginal", doubtful) == (
        "It may not hold: about 6 cakes in 10 keep their look for the 3 h you need; "
        "the others may lose it after as little as 35 min."
    )
    assert "about 6 in 10 keep" in phrases.headline("marginal", doubtful, has_tiers=False)
    at_once = replace(held(1, 0, 12, needed_h=0), chance=0.6)
    assert phrases.headline("marginal", at_once) == "It may not hold: about 6 cakes in 10 arrive in shape."
    assert phrases.headline("marginal", replace(doubtful, low_h=0.0)).endswith("; the others may be soft on arrival.")


def test_hours_to_spare_are_not_said_without_the_heat_that_is_not() -> None:
    assert phrases.headline("holds", held(12, 12, 12), is_tight=True) == (
        "Likely to hold with hours to spare (12 h or more), but hardly any heat to spare; you need 3 h."
    )


def test_a_hold_of_twelve_hours_or_much_less_says_the_end_once() -> None:
    assert lasting_with_range(12, 0.6, 12) == "12 h or more, perhaps only 35 min"
    assert lasting_with_range(12, 0, 12) == "12 h or more, perhaps none"
    assert lasting_with_range(12, 12, 12) == "12 h or more"
    assert lasting_with_range(4, 0.6, 12) == "4 h (35 min to 12 h or more)"


@pytest.mark.parametrize(
    ("start", "hours", "said"),
    [("15:00", 2.0, "17:00"), ("15:00", 0.0, "15:00"), ("15:00", 1.99, "16:55"), ("22:30", 4.0, "02:30")],
)
def test_a_deadline_is_rounded_down_to_five_minutes_and_may_pass_midnight(start: str, hours: float, said: str) -> None:
    assert phrases.clock(dt.time.fromisoformat(start), hours, METRIC) == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [(0.9, "holds"), (0.899, "may not hold"), (0.5, "may not hold"), (0.499, "does not hold")],
)
def test_a_class_is_named_from_its_threshold_on(chance: float, said: str) -> None:
    assert phrases.is_holding(chance) == said


def test_a_part_weaker_than_the_coat_is_named_beside_its_verdict() -> None:
    told = phrases.headline("holds", held(12, 12, 12), ("the stack", part(1.0, 2.0, 3.5, 3.5)))
    assert told.endswith("But the stack may not: it keeps its shape long enough about 5 times in 10.")


@pytest.mark.parametrize(
    ("needed", "assured", "fails", "said"),
    [
        (3, None, False, "Cut at 18:00 as planned; the look keeps longer than that."),
        (3, 3.5, False, "Cut at 18:00 as planned; the look keeps longer than that."),
        (3, 2.4, False, "Cut by 17:20: until then nine cakes in ten keep their look."),
        (0, None, False, "Cut it on arrival."),
        (3, 0.2, True, None),
    ],
)
def test_a_deadline_is_given_unless_nothing_holds(
    needed: float, assured: float | None, fails: bool, said: str | None
) -> None:
    assert phrases.deadline(dt.time(15, 0), needed, assured, METRIC, is_failing=fails) == said


@pytest.mark.parametrize(
    ("assured", "food_h", "said"),
    [
        (
            None,
            1.25,
            "The look keeps past 18:00, when you mean to cut; the home food rule ends at 16:15 at the latest.",
        ),
        (
            None,
            -0.5,
            "The look keeps past 18:00, when you mean to cut; the home food rule is already over on arrival.",
        ),
        (
            0.5,
            2.0,
            "Cut by 15:30: until then nine cakes in ten keep their look. "
            "The home food rule ends at 17:00 at the latest.",
        ),
        (
            2.4,
            1.25,
            "Cut before 16:15, when the home food rule ends at the latest; "
            "nine cakes in ten keep their look until 17:20.",
        ),
        (2.4, 0.0, "Nine cakes in ten keep their look until 17:20; the home food rule is already over on arrival."),
    ],
)
def test_a_deadline_never_outlasts_the_food_rule(assured: float | None, food_h: float, said: str) -> None:
    # Seen to fail: "Cut at 18:00 as planned" beside "serve it by 16:15".
    assert phrases.deadline(dt.time(15, 0), 3, assured, METRIC, is_failing=False, food_h=food_h) == said


def test_what_has_no_tiers_is_served_and_not_cut() -> None:
    at_three = dt.time(15, 0)
    assert phrases.deadline(at_three, 3, None, METRIC, is_failing=False, has_tiers=False) == (
        "Serve at 18:00 as planned; the look keeps longer than that."
    )
    assert phrases.deadline(at_three, 3, 2.4, METRIC, is_failing=False, has_tiers=False) == (
        "Serve by 17:20: until then nine in ten keep their look."
    )
    on_arrival = phrases.deadline(at_three, 0, None, METRIC, is_failing=False, has_tiers=False)
    assert on_arrival == "Serve them on arrival."


def test_a_deadline_has_the_readers_clock() -> None:
    told = phrases.deadline(dt.time(15, 0), 3, 1.3, US, is_failing=False)
    assert told is not None and told.startswith("Cut by 4:15 pm: ")


def test_how_sure_is_said_of_the_coat_and_of_what_comes_near() -> None:
    assert phrases.sure_sentence("American", 0.95, 0.8, 0) == "American outside is clearly the best choice."
    assert phrases.sure_sentence("Swiss", 0.7, 0.8, 0, "on top") == "Swiss on top is most likely the best choice."
    assert phrases.sure_sentence("American", 0.7, 0.2, 0).endswith("What goes between is a matter of taste.")
    six, one, nine = (phrases.sure_sentence("American", 0.4, 0.2, near) for near in (6, 1, 9))
    assert six.endswith("As a whole pairing, six others do about as well; this is the simplest to make.")
    assert one.endswith("As a whole pairing, one other does about as well; this is the simpler to make.")
    assert "at least nine others do about as well" in nine


def test_where_no_coat_holds_none_is_called_the_best_choice() -> None:
    # Seen to fail: "American outside is clearly the best choice." under a verdict that no coat holds.
    told = phrases.sure_sentence("American", 0.95, 0.8, 0, is_failing=True)
    assert told == "Of the coats that fail, American likely comes nearest. It still does not hold."
