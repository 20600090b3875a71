"""A dealt hunt or survey in one notebook, with nothing to read in it: no list of faults, no key.

The box in the notebook is scrambled, not secret: the kernel must know the faulty boat, so whoever
runs Python can look into it. Fit for practice and homework; an exam needs a supervised room.
"""

from __future__ import annotations

import base64
import binascii
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
    packed = zlib.compress(json.dumps(words).encode(), 9)
    return base64.b85encode(_closed(packed + bytes(-len(packed) % _BLOCK))).decode()


def unseal(box: str) -> Exercise | SurveyExercise:
    """Return the hunt or survey in a box, dealt to its learner.

    Raises
    ------
    CircuitError
        If the box is not as it was sealed.
    """
    try:
        words = json.loads(zlib.decompressobj().decompress(_opened(base64.b85decode(box))))
    except (ValueError, binascii.Error, zlib.error):
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
    own = {"faults": list(dealt.faults), "deal": "all", "cause": dealt.cause,
           "complaint": told.complaint, "seen": list(told.seen)}  # fmt: skip
    return {**{key: value for key, value in table.items() if key != "variant"}, **own}


def _stream(nonce: bytes, length: int) -> bytes:
    return hashlib.shake_256(_SCRAMBLE + nonce).digest(length)


def _closed(data: bytes) -> bytes:
    nonce = hashlib.sha256(_SCRAMBLE + data).digest()[:_TAG]  # the same deal, the same file
    body = bytes(a ^ b for a, b in zip(data, _stream(nonce, len(data)), strict=True))
    return nonce + body + hmac.digest(_SCRAMBLE, nonce + body, "sha256")[:_TAG]


def _opened(box: bytes) -> bytes:
    nonce, body, tag = box[:_TAG], box[_TAG:-_TAG], box[-_TAG:]
    if not hmac.compare_digest(hmac.digest(_SCRAMBLE, nonce + body, "sha256")[:_TAG], tag):
        raise ValueError("not as it was sealed")
    return bytes(a ^ b for a, b in zip(body, _stream(nonce, len(body)), strict=True))


def sealed_notebook(file: Path, learner: str) -> str:
    """Return a notebook that opens a learner's variant: a double click, then Shift+Enter.

    Raises
    ------
    CircuitError
        As :func:`seal` does.
    """
    exercise = story_from(read_toml(file), file)
    story = [
        f"# {exercise.title}", f"Dealt to **{learner}**.",
        "Click the folded cell below and press **Shift+Enter**. What you do is kept as you go; "
        "open this notebook again to go on.", NOT_FOR_EXAMS,
    ]  # fmt: skip
    folded = {"jupyter": {"source_hidden": True}, "editable": False, "deletable": False}
    code = f'from labkit import hunt\n\nhunt("{seal(file, learner)}")'
    cells = [
        {"cell_type": "markdown", "id": "story", "metadata": {}, "source": "\n\n".join(story)},
        {"cell_type": "code", "id": "hunt", "metadata": folded, "source": code,
         "execution_count": None, "outputs": []},
    ]  # fmt: skip
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    book = {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}
    return json.dumps(book, indent=1, ensure_ascii=False) + "\n"
