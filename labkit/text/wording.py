"""Refusals of keys in a file, as sentences: the key, what was found, what would be right."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from labkit.text.messages import did_you_mean

_RIGHT = {
    "bool": "write true or false",
    "string_too_short": 'write some text, such as "text"',
    "string_type": 'write text in quotes, such as "text"',
    "dict": 'write a table, such as { S1 = "on" }',
    "model": "write a table, such as { ... }",
    "float": "write a plain number, such as 1.8",
    "list": 'write a list, such as ["...", "..."]',
    "too_short": "write one at least",
}


_PARTS = re.compile(r"(\d+)")


def counted(id: str) -> tuple[tuple[int, str], ...]:
    """A key that sorts ids as people count: S2 before S10."""
    found = _PARTS.split(id)
    return tuple((int(part), "") if part.isdigit() else (0, part) for part in found if part)


def sentences(error: ValidationError, model: type[BaseModel], noun: str) -> list[str]:
    """Turn a refusal of keys into sentences, each starting with the key.

    Parameters
    ----------
    error : ValidationError
    model : type
        The keys that were expected.
    noun : str
        What they describe, such as 'a battery'.
    """
    return [_sentence(e, model, noun) for e in error.errors(include_url=False)]


def _sentence(error: Mapping[str, Any], model: type[BaseModel], noun: str) -> str:
    key = ".".join(str(step) for step in error["loc"]) or "keys"
    kind, found = error["type"], short(error["input"])
    if kind == "extra_forbidden":
        place = model
        for step in error["loc"][:-1]:
            inner = place.model_fields[str(step)].annotation
            place = inner if isinstance(inner, type) and issubclass(inner, BaseModel) else place
        keys = [field.alias or name for name, field in place.model_fields.items()]
        return (
            f"{key}: {noun} has no such key; {did_you_mean(str(error['loc'][-1]), keys, len(keys))}"
        )
    if kind == "missing":
        return f"{key}: is missing; write it, such as {key} = {_example(model, key)}"
    if kind == "value_error":
        return f"{key}: {error['ctx']['error']}"
    if kind == "literal_error":
        return f"{key}: found {found}; write {error['ctx']['expected']}"
    if kind == "string_too_long":
        return f"{key}: found {found}; write at most {error['ctx']['max_length']} letters"
    right = next((text for start, text in _RIGHT.items() if kind.startswith(start)), "")
    return f"{key}: found {found}; {right or lower(error['msg'])}"


def _example(model: type[BaseModel], key: str) -> str:
    letters = getattr(model, "letters", "")
    if key == "id" and letters:
        return f'"{letters[0]}1"'
    shown = model.model_json_schema().get("properties", {}).get(key, {})
    if "examples" in shown:
        return f'"{shown["examples"][0]}"'
    return '["..."]' if shown.get("type") == "array" else '"..."'


def short(value: object, quote: bool = True) -> str:
    """What was found, cut where it is long."""
    text = " ".join(str(value).split())
    text = f'"{text}"' if isinstance(value, str) and quote else text
    return text if len(text) <= 44 else text[:41] + "..."


def lower(text: str) -> str:
    """Another program's message, to stand inside a sentence."""
    return text[:1].lower() + text[1:].rstrip(".")
