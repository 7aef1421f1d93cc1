"""The API described for programs: an OpenAPI 3.1 document built from the very models that read and write."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pydantic.json_schema import models_json_schema

from webapp.advice.brief import LOCAL_TIME, MOST_OWN, Brief
from webapp.advice.contract import Advice, ProblemsOut
from webapp.advice.own_formulas import PREFIX
from webapp.advice.substitutes import AVOIDABLE
from webapp.advice.substitutes_contract import SubstitutesIn, SubstitutesOut
from webapp.pages.versions import release

REFS = "#/components/schemas/{model}"


def openapi_document(formulations: Iterable[str]) -> dict[str, Any]:
    """Build the whole document; it names the formulations beside the own ones of a brief."""
    known = {"enum": [*formulations, *(f"{PREFIX}{place}" for place in range(1, MOST_OWN + 1))]}
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Coat and Filling",
            "version": release(),
            "description": "Which buttercream goes on the outside of a cake, which between the layers, and "
            "whether it will hold. Temperatures in °C, lengths in cm or mm, times in h.",
        },
        "paths": {
            "/api/advice": {"post": _advice_operation()},
            "/api/substitutes": {"get": _substitutes_address(known), "post": _substitutes_operation()},
            "/api/schema": {"get": _schema_operation()},
        },
        "components": {"schemas": _schemas(known)},
    }


def _schemas(formulation: dict[str, Any]) -> dict[str, Any]:
    models = [(model, "validation") for model in (Brief, Advice, ProblemsOut, SubstitutesIn, SubstitutesOut)]
    _, definitions = models_json_schema(models, ref_template=REFS)  # type: ignore[arg-type]
    schemas: dict[str, Any] = _with_local_times(definitions["$defs"])
    schemas["SubstitutesIn"]["properties"]["formulation"] |= formulation
    return schemas


def _with_local_times(node: Any) -> Any:
    """Say that a time needs no offset: the format ``time`` of JSON Schema would demand one."""
    if isinstance(node, list):
        return [_with_local_times(item) for item in node]
    if not isinstance(node, dict):
        return node
    if node.get("format") == "time":
        rest = {key: value for key, value in node.items() if key != "format"}
        return rest | {"pattern": LOCAL_TIME}
    return {key: _with_local_times(value) for key, value in node.items()}


def _json(model: str, description: str) -> dict[str, Any]:
    schema = {"$ref": REFS.format(model=model)}
    return {"description": description, "content": {"application/json": {"schema": schema}}}


def _advice_operation() -> dict[str, Any]:
    return {
        "operationId": "advise",
        "summary": "Advise on one brief",
        "requestBody": {"required": True} | _json("Brief", "Every field is optional; {} is a mild indoor party."),
        "responses": {
            "200": _json("Advice", "The advice"),
            "400": _json("ProblemsOut", "The request cannot be read"),
            "413": _json("ProblemsOut", "The body is larger than 64 kB"),
            "415": _json("ProblemsOut", "The body is not application/json"),
            "422": _json("ProblemsOut", "The brief has fields that are unknown, wrong or out of range"),
        },
    }


def _substitutes_operation() -> dict[str, Any]:
    return {
        "operationId": "substitute",
        "summary": "Swap what must be avoided out of one formulation",
        "requestBody": {"required": True} | _json("SubstitutesIn", "The formulation is required."),
        "responses": _substitutes_responses()
        | {
            "413": _json("ProblemsOut", "The body is larger than 64 kB"),
            "415": _json("ProblemsOut", "The body is not application/json"),
        },
    }


def _substitutes_address(formulation: dict[str, Any]) -> dict[str, Any]:
    # A form sends an empty choice for none.
    wishes = {"type": "array", "items": {"type": "string", "enum": [*AVOIDABLE, ""]}}
    return {
        "operationId": "substituteByAddress",
        "summary": "The same, asked by address; fields of a brief may stand beside, named as on the page of the advice",
        "parameters": [
            {"name": "formulation", "in": "query", "required": True, "schema": {"type": "string"} | formulation},
            {"name": "avoid", "in": "query", "style": "form", "explode": True, "schema": wishes},
        ],
        "responses": _substitutes_responses(),
    }


def _substitutes_responses() -> dict[str, Any]:
    return {
        "200": _json("SubstitutesOut", "Every way that was found"),
        "400": _json("ProblemsOut", "The request cannot be read"),
        "422": _json("ProblemsOut", "A field is missing, unknown, wrong or out of range"),
    }


def _schema_operation() -> dict[str, Any]:
    content = {"application/json": {"schema": {"type": "object"}}}
    return {
        "operationId": "describe",
        "summary": "This document",
        "responses": {"200": {"description": "An OpenAPI 3.1 document", "content": content}},
    }
