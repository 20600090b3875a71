"""A dealt hunt or survey in one notebook, with nothing to read in it: no list of faults, no key.

The box in the notebook is scrambled, not secret: the kernel must know the faulty boat, so whoever
runs Python can look into it. Fit for practice and homework; an exam needs a supervised room.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import tomllib
import zlib
from dataclasses import replace
from pathlib import Path
from typing import Any

from labkit.circuits.circuit_file import circuit_from
from labkit.exercises.exercise import Exercise
from labkit.exercises.files import story_from
from labkit.exercises.surveys import SurveyExercise
from labkit.text.messages import CircuitError
from labkit.text.plain_file import bytes_of
from labkit.text.toml_file import LARGEST_FILE, read_toml

_SCRAMBLE = b"scrambled, not secret: whoever runs Python can undo this"
_BLOCK = 4096  # lengths are rounded up to it, so that none tells one variant from another [bytes]
_TAG = 16

NOT_FOR_EXAMS = (
    "This is for practice and homework: the boat is computed on your own machine, so whoever knows "
    "Python can look up what is wrong with it, and learns nothing by it."
)


def seal(file: Path, learner: str = "") -> str:
    """Return the box that holds a learner's variant of an exercise, or without one the exercise.

    Parameters
    ----------
    file : Path
        The exercise's.
    learner : str
        '' leaves it to be dealt where it is opened, to whoever opens it.

    Raises
    ------
    CircuitError
        If the exercise is not fit.
    """
    table = read_toml(file)
    exercise = story_from(table, file)
    seeds = dict(exercise.seeds)
    if learner:
        table = _dealt(table, exercise, learner)
        seeds = {learner: seeds.get(learner, learner)}
    words = {
        "exercise": table,
        "circuit": bytes_of(file.parent / table["circuit"], LARGEST_FILE).decode("utf-8-sig"),
        "learner": learner,
        "seeds": seeds,
    }
    return closed(json.dumps(words).encode())


def unseal(box: str) -> Exercise | SurveyExercise:
    """Return the hunt or survey in a box, dealt to its learner.

    Raises
    ------
    CircuitError
        If the box is not as it was sealed.
    """
    try:
        words = json.loads(opened(box))
    except ValueError:
        raise CircuitError(
            ["this notebook's hunt is not as it was dealt; ask for the file again"]
        ) from None
    table: dict[str, Any] = words["exercise"]
    circuit = circuit_from(tomllib.loads(words["circuit"]), table["circuit"])
    exercise = story_from(table, f"dealt to {words['learner']}", circuit)
    return replace(exercise, learner=words["learner"], seeds=words.get("seeds", {}))


def _dealt(table: dict[str, Any], story: Exercise | SurveyExercise, learner: str) -> dict[str, Any]:
    """Return an exercise's table with one learner's variant in it and no other."""
    dealt = story.deal(learner)
    told = story.told(dealt.number)
    own = {
        "faults": list(dealt.faults),
        "deal": "all",
        "cause": dealt.cause,
        "complaint": told.complaint,
        "seen": list(told.seen),
    }
    return {**{key: value for key, value in table.items() if key != "variant"}, **own}


def _stream(nonce: bytes, length: int) -> bytes:
    return hashlib.shake_256(_SCRAMBLE + nonce).digest(length)


def closed(words: bytes) -> str:
    """Return something in a box: scrambled, of a length that hardly tells its own."""
    packed = zlib.compress(words, 9)
    data = packed + bytes(-len(packed) % _BLOCK)
    nonce = hashlib.sha256(_SCRAMBLE + data).digest()[:_TAG]  # the same deal, the same file
    body = bytes(a ^ b for a, b in zip(data, _stream(nonce, len(data)), strict=True))
    return base64.b85encode(nonce + body + _tag(nonce + body)).decode()


def opened(box: str) -> bytes:
    """Return what is in a box. Raises ValueError if it is not as it was closed."""
    try:
        data = base64.b85decode(box)
        nonce, body, tag = data[:_TAG], data[_TAG:-_TAG], data[-_TAG:]
        if not hmac.compare_digest(_tag(nonce + body), tag):
            raise ValueError("not as it was closed")
        plain = bytes(a ^ b for a, b in zip(body, _stream(nonce, len(body)), strict=True))
        return zlib.decompressobj().decompress(plain)
    except zlib.error as error:
        raise ValueError("not as it was closed") from error


def _tag(data: bytes) -> bytes:
    return hmac.digest(_SCRAMBLE, data, "sha256")[:_TAG]


def sealed_notebook(file: Path, learner: str) -> str:
    """Return a notebook that opens a learner's variant: a double click, then Shift+Enter.

    Raises
    ------
    CircuitError
        As :func:`seal` does.
    """
    exercise = story_from(read_toml(file), file)
    story = [
        f"# {exercise.title}",
        f"Dealt to **{learner}**.",
        "Click the folded cell below and press **Shift+Enter**. What you do is kept as you go; "
        "open this notebook again to go on. Below the boat stands which file to hand in.",
        NOT_FOR_EXAMS,
    ]
    folded = {"jupyter": {"source_hidden": True}, "editable": False, "deletable": False}
    code = f'from labkit import hunt\n\nhunt("{seal(file, learner)}")'
    cells = [
        {"cell_type": "markdown", "id": "story", "metadata": {}, "source": "\n\n".join(story)},
        {
            "cell_type": "code",
            "id": "hunt",
            "metadata": folded,
            "source": code,
            "execution_count": None,
            "outputs": [],
        },
    ]
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    book = {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}
    return json.dumps(book, indent=1, ensure_ascii=False) + "\n"
