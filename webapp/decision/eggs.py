"""Which part of the egg a formulation takes, and which pairings use both parts of the same eggs."""

from __future__ import annotations

from webapp.catalogue.model import Formulation


def shell_egg_parts(formulation: Formulation) -> frozenset[str]:
    """Return which of ``white`` and ``yolk`` come from shell eggs; pasteurised egg comes in a carton."""
    if formulation.egg_treatment == "pasteurised":
        return frozenset()
    return frozenset(line.ingredient.egg_part for line in formulation.lines) - {"none"}


def are_parts_of_same_eggs(one: frozenset[str], other: frozenset[str]) -> bool:
    """Whether one leaves over exactly what the other takes."""
    return len(one | other) == 2 and not one & other


def shares_eggs(coat: Formulation, filling: Formulation) -> bool:
    """Whether one takes the whites and the other the yolks of the same eggs."""
    return are_parts_of_same_eggs(shell_egg_parts(coat), shell_egg_parts(filling))
