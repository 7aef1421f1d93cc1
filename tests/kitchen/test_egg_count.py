from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.kitchen.egg_count import count_eggs

EGG_G = (33.0, 17.0)


def counted(*uses):
    whites, yolks = (sum(use[part] for use in uses) for part in (0, 1))
    return count_eggs(uses, EGG_G, (whites * EGG_G[0], yolks * EGG_G[1]))


def test_whites_and_yolks_come_from_the_same_eggs():
    eggs = counted((14, 0), (0, 11))
    assert (eggs.eggs, eggs.apart) == (14, 25)
    assert (eggs.whites_over, eggs.yolks_over) == (0, 3)
    assert eggs.over_g == pytest.approx(3 * 17)


def test_two_buttercreams_of_whites_each_take_their_own():
    eggs = counted((5, 0), (7, 0))
    assert (eggs.eggs, eggs.whites_over, eggs.yolks_over) == (12, 0, 12)


def test_all_that_was_cracked_is_used_or_over():
    eggs = counted((5, 0), (0, 7))
    assert eggs.eggs * sum(EGG_G) == pytest.approx(eggs.used_white_g + eggs.used_yolk_g + eggs.over_g)


def test_part_of_an_egg_is_over_where_a_recipe_weighs_it():
    eggs = count_eggs([(2, 1)], EGG_G, (66.0, 12.0))
    assert eggs.yolk_over_g == pytest.approx(2 * 17 - 12)


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=1, max_size=3))
def test_the_fewest_eggs_are_those_of_an_integer_programme(uses):
    from scipy.optimize import LinearConstraint, milp

    whites, yolks = (sum(use[part] for use in uses) for part in (0, 1))
    # Least eggs and then least waste; waste weighs too little to buy another egg.
    solved = milp(
        c=np.array([1.0, 1e-6 * EGG_G[0], 1e-6 * EGG_G[1]]),  # eggs, whites over, yolks over
        constraints=LinearConstraint(np.array([[1, -1, 0], [1, 0, -1]]), lb=[whites, yolks], ub=[whites, yolks]),
        integrality=np.ones(3),
    )
    eggs = counted(*uses)
    assert [eggs.eggs, eggs.whites_over, eggs.yolks_over] == [round(value) for value in solved.x]
