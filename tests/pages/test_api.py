from __future__ import annotations

import json
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from tests.strategies import brief_shapes
from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.pages.openapi import openapi_document

DOCUMENT = openapi_document(load_catalogue(Config().data_dir).formulations)
TABLES: list[dict[str, Any]] = [
    {},
    {"setting": "sun", "air_high_c": 37, "hold_hours": 5, "colour": "deep", "start": "12:00"},
    {"diet": ["vegan", "soy-free", "coconut-free"]},
]


def validator(model: str) -> Draft202012Validator:
    return Draft202012Validator(DOCUMENT | {"$ref": f"#/components/schemas/{model}"})


def test_the_document_is_valid_openapi() -> None:
    OpenAPIV31SpecValidator(DOCUMENT).validate()


def test_the_document_is_served_with_the_formulations_that_there_are(browser: FlaskClient) -> None:
    assert browser.get("/api/schema").get_json() == json.loads(json.dumps(DOCUMENT))
    assert "swiss-butter" in DOCUMENT["components"]["schemas"]["SubstitutesIn"]["properties"]["formulation"]["enum"]


@pytest.mark.parametrize("brief", TABLES)
def test_answers_are_as_described(browser: FlaskClient, brief: dict[str, Any]) -> None:
    validator("Brief").validate(brief)
    response = browser.post("/api/advice", json=brief)
    assert (response.status_code, response.mimetype) == (200, "application/json")
    validator("Advice").validate(response.get_json())


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(shape=brief_shapes())
def test_every_valid_brief_is_as_described_and_is_answered(
    browser: FlaskClient, shape: dict[str, Any]
) -> None:
    validator("Brief").validate(shape)
    assert browser.post("/api/advice", json=shape).status_code == 200


def test_levers_say_from_and_to(browser: FlaskClient) -> None:
    levers = browser.post("/api/advice", json={}).get_json()["levers"]
    assert levers[0]["from"] == "15:00"


BAD = [
    ({"air_high_c": 99}, "air_high_c"),
    ({"air_high_c": "21"}, "air_high_c"),
    ({"frosting": 1}, "frosting"),
    ({"tiers": [{"width_cm": 20}, {"width_cm": 2}]}, "tiers.1.width_cm"),
    ({"diet": ["nothing"]}, "diet.0"),
    ({"importance": {"luck": 3}}, "importance.luck"),
    ({"start": "noon"}, "start"),
    ({"start": "29:00"}, "start"),
    ({"start": "15:00Z"}, "start"),
    ({"start": "15:00:00.5"}, "start"),
]


@pytest.mark.parametrize(("brief", "field"), BAD)
def test_a_bad_field_is_named_with_what_is_allowed(
    browser: FlaskClient, brief: dict[str, Any], field: str
) -> None:
    response = browser.post("/api/advice", json=brief)
    assert response.status_code == 422
    validator("ProblemsOut").validate(response.get_json())
    assert [problem["field"] for problem in response.get_json()["problems"]] == [field]
    assert not validator("Brief").is_valid(brief)


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        ({"data": "{}", "content_type": "text/plain"}, 415),
        ({"data": "{}"}, 415),
        ({"data": "{", "content_type": "application/json"}, 422),
        ({"data": b"\xff\xfe", "content_type": "application/json"}, 422),
        ({"data": "[]", "content_type": "application/json"}, 422),
        ({"data": "null", "content_type": "application/json"}, 422),
        ({"data": '{"x":"' + "x" * 70_000 + '"}', "content_type": "application/json"}, 413),
    ],
)
def test_what_cannot_be_read_is_refused_as_a_problem(
    browser: FlaskClient, arguments: dict[str, Any], status: int
) -> None:
    response = browser.post("/api/advice", **arguments)
    assert response.status_code == status
    validator("ProblemsOut").validate(response.get_json())
    assert str(status) in DOCUMENT["paths"]["/api/advice"]["post"]["responses"]


def test_unknown_api_paths_and_methods_answer_in_json(browser: FlaskClient) -> None:
    for response, status in ((browser.get("/api/nothing"), 404), (browser.get("/api/advice"), 405)):
        assert response.status_code == status
        assert response.get_json()["problems"]


def test_a_wrong_method_is_told_the_right_one(browser: FlaskClient) -> None:
    assert browser.get("/api/advice").get_json()["problems"][0]["allowed"] == "Use POST."
    assert browser.post("/api/schema").get_json()["problems"][0]["allowed"] == "Use GET."


@pytest.mark.parametrize("brief", [{"start": "23:59:59"}, {"cupcakes": 5.0}, {"date": None, "start": None}])
def test_what_is_described_is_accepted(browser: FlaskClient, brief: dict[str, Any]) -> None:
    validator("Brief").validate(brief)
    assert browser.post("/api/advice", json=brief).status_code == 200
