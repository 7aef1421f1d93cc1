from __future__ import annotations

from tests.strategies import GIVEN_FIELDS
from webapp.advice.brief import Brief


def test_random_briefs_may_give_every_field() -> None:
    assert GIVEN_FIELDS == set(Brief.model_fields)
