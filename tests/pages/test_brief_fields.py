from __future__ import annotations

from typing import get_args

import pytest

from webapp.advice import brief as contract
from webapp.pages.brief_fields import ASKED, ASKED_OF_OWN, CHOICES, CRITERIA

LITERALS = {
    "setting": contract.Setting,
    "piping": contract.Piping,
    "finish": contract.Finish,
    "colour": contract.Colour,
    "sponge": contract.Sponge,
    "shape": contract.Shape,
    "diet": contract.Diet,
    "equipment": contract.Equipment,
    "family": contract.FamilyId,
    "egg_treatment": contract.EggTreatment,
}


def test_every_field_of_the_brief_is_asked() -> None:
    assert set(ASKED) == set(contract.Brief.model_fields) | set(contract.Tier.model_fields)
    assert set(ASKED_OF_OWN) == set(contract.OwnFormula.model_fields)


@pytest.mark.parametrize("field", LITERALS)
def test_every_choice_has_words(field: str) -> None:
    assert tuple(CHOICES[field]) == get_args(LITERALS[field])


def test_every_criterion_can_be_weighed() -> None:
    assert set(CRITERIA) == set(get_args(contract.CriterionId))
