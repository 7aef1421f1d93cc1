from __future__ import annotations

import pytest

from tests.decision.builders import AQUAFABA, BUTTER, WHITE, YOLK, formulation
from webapp.decision.eggs import shares_eggs

WHITES = formulation("swiss-a", WHITE, BUTTER, treatment="heated-71c")
YOLKS = formulation("french-a", YOLK, BUTTER, treatment="syrup-cooked")


def test_whites_in_one_and_yolks_in_the_other_are_of_the_same_eggs():
    assert shares_eggs(WHITES, YOLKS)
    assert shares_eggs(YOLKS, WHITES)


@pytest.mark.parametrize(
    "other",
    [
        WHITES,
        formulation("american-a", BUTTER),
        formulation("italian-a", AQUAFABA),
        formulation("french-b", YOLK, treatment="pasteurised"),
        formulation("french-c", YOLK, WHITE),
    ],
    ids=lambda other: other.id,
)
def test_nothing_is_shared_with_the_same_part_no_egg_or_egg_from_a_carton(other):
    assert not shares_eggs(WHITES, other)
