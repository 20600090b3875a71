"""JSON schema of circuit, exercise and dealt files, so that an editor completes and checks them."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from labkit.circuits.water import Water
from labkit.exercises.dealing import HandKeys
from labkit.exercises.exercise import ExerciseKeys
from labkit.exercises.surveys import SurveyKeys
from labkit.parts import KINDS

Schema = dict[str, Any]

DIALECT = "http://json-schema.org/draft-07/schema#"
"""The draft most editors know."""


def file_schema() -> Schema:
    """Return the schema of the files labkit reads: circuits, exercises, surveys, dealt files."""
    models: list[type[BaseModel]] = [
        *KINDS.values(),
        Water,
        ExerciseKeys,
        SurveyKeys,
        HandKeys,
    ]
    _, made = models_json_schema(
        [(model, "validation") for model in models], ref_template="#/definitions/{model}"
    )
    definitions = {_name(name): _as_written(item) for name, item in made["$defs"].items()}
    for kind, model in KINDS.items():
        definitions[model.__name__] = _part(kind, model.letters, definitions[model.__name__])
    definitions["Circuit"] = _circuit()
    whole = ("Circuit", "Exercise", "Survey", "Dealt")
    return {
        "$schema": DIALECT,
        "title": "Circuits and exercises",
        "type": "object",
        "anyOf": [_ref(name) for name in whole],
        "definitions": definitions,
    }


def _circuit() -> Schema:
    text: Schema = {"type": "string", "minLength": 1}
    again = {
        "type": "object",
        "description": "A part met again, passed by another way.",
        "properties": {"id": text, "via": {**text, "examples": ["30-87"]}},
        "required": ["id"],
        "additionalProperties": False,
    }
    run = {
        "type": "object",
        "properties": {
            "name": text,
            "from": {**text, "description": "The node it leaves.", "examples": ["panel", "DC-"]},
            "to": {**text, "description": "The node it ends on."},
            "parts": {
                "type": "array",
                "description": "In the order the current meets them.",
                "items": {"anyOf": [*(_ref(m.__name__) for m in KINDS.values()), again]},
            },
        },
        "required": ["from", "to"],
        "additionalProperties": False,
    }
    return {
        "type": "object",
        "properties": {
            "title": text,
            "system": {**text, "description": "Nominal voltage.", "examples": ["12 V", "24 V"]},
            "ambient": {**text, "description": "Of the air aboard.", "examples": ["30 degC"]},
            "clamp_drift": {
                **text,
                "description": "Most that the clamp aboard wanders by until it is zeroed.",
                "examples": ["0.3 A"],
            },
            "water": _ref("Water"),
            "notes": {},
            "accepts": {
                "type": "array",
                "description": "Findings of the survey that stay, and why.",
                "items": {
                    "type": "object",
                    "properties": {
                        "rule": {**text, "examples": ["voltage drop", "fuse too big"]},
                        "part": text,
                        "why": text,
                    },
                    "required": ["rule", "part", "why"],
                    "additionalProperties": False,
                },
            },
            "run": {"type": "array", "minItems": 1, "items": run},
        },
        "required": ["title", "run"],
        "additionalProperties": False,
    }


def _part(kind: str, letters: str, schema: Schema) -> Schema:
    """Add what stands beside a part's own keys: what it is, and the way a run takes through it."""
    via = {"type": "string", "description": "The way through it.", "examples": ["86-85"]}
    id = {
        "type": "string",
        "description": "Class letter, after IEC 81346-2, simplified, and a number.",
        "pattern": f"^[{letters}][A-Z]?[0-9]{{1,4}}$",
        "examples": [f"{letters[0]}1"],
    }
    return {
        **schema,
        "properties": {"is": {"const": kind}, **schema["properties"], "id": id, "via": via},
        "required": ["is", *schema.get("required", [])],
    }


def _as_written(schema: Any) -> Any:
    """Turn a schema of values into one of text: no nulls, and no defaults that are numbers."""
    if isinstance(schema, list):
        return [_as_written(item) for item in schema if item != {"type": "null"}]
    if not isinstance(schema, dict):
        return schema
    made = {key: _as_written(value) for key, value in schema.items()}
    if "$ref" in made:
        made["$ref"] = _ref(_name(made["$ref"].rpartition("/")[2]))["$ref"]
    choices = made.get("anyOf")
    if isinstance(choices, list) and len(choices) == 1:
        made = {**choices[0], **{k: v for k, v in made.items() if k != "anyOf"}}
    if made.get("default", "") is None or (
        made.get("type") == "string" and not isinstance(made.get("default", ""), str)
    ):
        del made["default"]
    return made


_NAMES = {
    "ExerciseKeys": "Exercise", "SurveyKeys": "Survey", "ProofKeys": "Proof", "HandKeys": "Dealt",
}  # fmt: skip  # rows that a reader compares


def _name(model: str) -> str:
    return _NAMES.get(model, model)


def _ref(name: str) -> Schema:
    return {"$ref": f"#/definitions/{name}"}
