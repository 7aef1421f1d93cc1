from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from tests.faults.outages import Seen, clock_jumps, damaged_file, lost_file


@pytest.mark.parametrize("outage", [lost_file, damaged_file])
def test_advice_goes_on_without_records_and_nothing_typed_is_lost(outage: Callable[[], Iterator[Seen]]) -> None:
    seen = {each.did: each for each in outage()}
    assert (seen["opens /"].answer, seen["opens /advice"].answer) == ("200", "200")
    assert seen["opens /consultations"].answer == seen["saves"].answer == "503"
    assert seen["saves"].told.endswith("what was typed is still there")
    assert next(each for did, each in seen.items() if did.endswith(", saves")).told.startswith("saved, and nothing")


def test_a_clock_that_jumps_ends_log_ins_and_keeps_what_is_saved() -> None:
    seen = [each for each in clock_jumps() if each.did.startswith(("goes on", "saves"))]
    assert {each.answer for each in seen if each.did.startswith("goes on")} == {"303"}
    assert all(each.told.startswith("kept") for each in seen if each.did == "saves")
