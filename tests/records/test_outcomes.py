from __future__ import annotations

import dataclasses
import math

import pytest

from tests.records.samples import content
from webapp.records.errors import NoSuchRecord, RecordRefused
from webapp.records.outcomes import Note

SOFTENED = Note("swiss", "smooth", {"air_c": [30.0]}, softened_h=2.5, coat_c=26.0, coat_low_c=25.0, coat_high_c=27.5)
HELD = Note("swiss", "piped", {}, held_h=4.0, remark="  In a tent.\r\nStill fine.  ")


@pytest.fixture
def event(records):
    return records.consultations.add(content()).id


def test_a_note_is_kept_by_event_and_by_formulation(records, clock, event):
    records.outcomes.add(event, SOFTENED)
    clock.go(minutes=1)
    records.outcomes.add(event, HELD)
    records.outcomes.add(event, dataclasses.replace(HELD, formulation="french"))
    assert [(n.look, n.softened_h, n.held_h, n.coat_c) for n in records.outcomes.of_formulation("swiss")] == [
        ("smooth", 2.5, None, 26.0),
        ("piped", None, 4.0, None),
    ]
    assert len(records.outcomes.of_consultation(event)) == 3
    assert records.outcomes.counts() == {"french": 1, "swiss": 2}
    assert records.outcomes.of_formulation("swiss")[1].remark == "In a tent.\nStill fine."
    assert records.outcomes.of_formulation("swiss")[0].weather == {"air_c": [30.0]}


def test_a_note_can_be_changed_and_removed(records, clock, event):
    id = records.outcomes.add(event, SOFTENED).id
    clock.go(days=1)
    changed = records.outcomes.change(id, HELD)
    assert (changed.softened_h, changed.held_h, changed.updated_at) == (None, 4.0, clock.moment)
    records.outcomes.remove(id)
    assert records.outcomes.of_consultation(event) == []
    for attempt in (lambda: records.outcomes.remove(id), lambda: records.outcomes.change(id, HELD)):
        with pytest.raises(NoSuchRecord):
            attempt()


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"held_h": 3.0}, "softened_h"),
        ({"softened_h": None}, "softened_h"),
        ({"softened_h": -0.1}, "softened_h"),
        ({"softened_h": math.nan}, "softened_h"),
        ({"softened_h": math.inf}, "softened_h"),
        ({"softened_h": 49.0}, "softened_h"),
        ({"coat_c": 24.0}, "coat_c"),
        ({"coat_c": None}, "coat_c"),
        ({"coat_high_c": 101.0}, "coat_c"),
        ({"remark": "x" * 4001}, "remark"),
        ({"remark": "a\x00b"}, "remark"),
    ],
)
def test_a_note_that_cannot_be_is_refused_and_not_kept(records, event, changed, field):
    with pytest.raises(RecordRefused) as refused:
        records.outcomes.add(event, dataclasses.replace(SOFTENED, **changed))
    assert refused.value.problem.field == field
    assert records.outcomes.counts() == {}


def test_a_note_on_no_event_is_refused(records):
    with pytest.raises(NoSuchRecord):
        records.outcomes.add("none", HELD)
