from __future__ import annotations

import pytest
from flask import Flask
from schemathesis import openapi

from tests.faults.interface import SHARES, Outcome, as_here, ask_all, operations
from webapp import create_app
from webapp.config import Config


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    return create_app(Config(records_dir=tmp_path_factory.mktemp("kept")))


@pytest.fixture(scope="module")
def outcomes(app: Flask) -> list[Outcome]:
    return list(ask_all(app, 240, first_seed=3))


def test_every_answer_is_one_that_the_document_describes(outcomes: list[Outcome]) -> None:
    assert [failure for outcome in outcomes for failure in outcome.failures] == []
    assert sum(outcome.examples for outcome in outcomes) >= 240


def test_a_good_part_of_what_the_document_allows_is_understood(outcomes: list[Outcome]) -> None:
    """Else the examples would try little more than the refusals."""
    allowed = [outcome for outcome in outcomes if outcome.mode == "positive"]
    assert sum(outcome.statuses[200] for outcome in allowed) > 0.4 * sum(outcome.examples for outcome in allowed)


def test_every_operation_is_asked(app: Flask) -> None:
    document = openapi.from_wsgi("/api/schema", as_here(app))
    named = {operation.definition.raw["operationId"] for operation in operations(document)}
    assert named == set(SHARES) and abs(sum(SHARES.values()) - 1) < 1e-9


def test_the_bounds_of_whole_numbers_stand_in_the_document(app: Flask) -> None:
    schemas = app.test_client().get("/api/schema").json["components"]["schemas"]  # type: ignore[index]
    assert [schemas["Brief"]["properties"]["sweetness"][name] for name in ("minimum", "maximum")] == [1, 5]
    assert [schemas["Tier"]["properties"]["layers"][name] for name in ("minimum", "maximum")] == [1, 10]
    assert schemas["Brief"]["properties"]["cupcakes"]["maximum"] == 2000
