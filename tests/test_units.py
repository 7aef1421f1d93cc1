from __future__ import annotations

import pytest

from webapp.units import MEASURES, METRIC, UK, US, Measures


@pytest.mark.parametrize(
    ("measures", "said"),
    [
        (METRIC, ("31 °C", "20 to 30 °C", "3 °C", "30 cm", "7 mm", "450 g", "1.2 kg")),
        (US, ("88 °F", "68 to 86 °F", "5 °F", "11.75 in", "1/4 in", "1 lb", "2 lb 10 oz")),
        (UK, ("31 °C", "20 to 30 °C", "3 °C", "11.75 in", "7 mm", "450 g", "1.2 kg")),
    ],
    ids=lambda value: value.name if isinstance(value, Measures) else "",
)
def test_each_reader_has_every_kind_of_number_in_one_habit(measures: Measures, said: tuple[str, ...]) -> None:
    written = (
        measures.temperature(31),
        measures.temperatures(20, 30),
        measures.warming(3),
        measures.length(30),
        measures.thickness(7),
        measures.mass(450),
        measures.mass(1200),
    )
    assert written == said


def test_a_difference_of_temperature_has_no_offset() -> None:
    assert {measures.warming(0).split()[0] for measures in MEASURES.values()} == {"0"}


def test_a_range_never_shrinks_to_one_number_but_where_nothing_is_uncertain() -> None:
    assert METRIC.temperatures(20.2, 20.4) == "20 to 21 °C"
    assert METRIC.temperatures(19.6, 20.4) == "19 to 21 °C"
    assert METRIC.temperatures(4, 4) == "4 °C"
    assert (METRIC.warmings(2, 6), US.warmings(2, 6)) == ("2 to 6 °C", "4 to 11 °F")
    assert METRIC.warmings(-0.2, 0.2) == "-1 to 1 °C"


def test_every_habit_goes_by_the_name_that_is_remembered() -> None:
    assert all(name == measures.name for name, measures in MEASURES.items())
