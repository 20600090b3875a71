"""A boat described by answering questions: templates by complaint, Enter for what is not known."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from importlib import resources

from labkit.circuits.circuit_file import circuit_from
from labkit.text.messages import CircuitError, did_you_mean

_UNKNOWN = re.compile(r'(\w+) = "\?"')
_PART = re.compile(r'id = "([A-Z]{1,2}\d{1,4})"')
_LABEL = re.compile(r'label = "([^"]*)"')
_RUN = re.compile(r'^name = "([^"]*)"', re.MULTILINE)
_KIND = re.compile(r'is = "([^"]*)"')

_ASKS = {
    "size": "size of the wire, such as 2.5 mm2 or 14 AWG (or 1.5..2.5 mm2)",
    "length": "length of the wire one way, such as 5 m (or about 5 m)",
    "rating": "what is printed on it, such as 10 A",
    "current": "what it draws, as on its plate, such as 5 A",
    "power": "what is printed on it, such as 10 W",
    "emf": "its voltage at rest, such as 12.6 V (or 12.2..12.8 V)",
    "capacity": "its capacity, such as 100 Ah",
}

_UNITS = {
    "size": "mm2", "length": "m", "rating": "A", "current": "A", "power": "W", "emf": "V",
    "capacity": "Ah",
}  # fmt: skip  # rows that a reader compares
"""What a bare number is taken to be in: the unit the question names first."""


_SPOKEN = (
    (r"\bamp(?:ere)?s?[ -]?hours?\b|\bah\b", "Ah"), (r"\bamp(?:ere)?s?\b|\ba\b", "A"),
    (r"\bvolts?\b|\bv\b", "V"), (r"\bwatts?\b|\bw\b", "W"),
    (r"\bmet(?:er|re)s?\b", "m"), (r"\bf(?:ee|oo)t\b|\bft\b\.?|'$", "ft"),
    (r"\b(?:gauge|ga|awg)\b\.?", "AWG"), (r"\bsq\.? ?mm\b|\bmm(?:\^2|²|\b)", "mm2"),
    (r"^(?:approx\.?|approximately|around|ca\.?|roughly|~)\s*", "about "),
    (r"^between\s+", ""), (r"(?<=\d)\s*(?:-|\u2013|to|or|and)\s*(?=\d)", ".."),
)  # fmt: skip  # rows that a reader compares
"""How people say and type units, and what a file calls them."""

_GAUGES = ("8", "12", "14", "18", "20", "22")
"""Bare numbers that are a gauge to some and no square millimetres anybody sells."""

_NOT_KNOWN = re.compile(
    r"\??|(?:i )?do(?:n'?t| not) know|dunno|no idea|not (?:known|sure)|unknown|none|n/?a|-+",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Question:
    """Something a template leaves open."""

    part: str
    key: str
    text: str
    start: int
    end: int


def templates() -> dict[str, str]:
    """Boats to begin from, name to text."""
    folder = resources.files("labkit.jobs") / "templates"
    files = sorted(item.name for item in folder.iterdir() if item.name.endswith(".toml"))
    return {name.removesuffix(".toml"): (folder / name).read_text("utf-8") for name in files}


def template(name: str) -> str:
    """One of the templates.

    Raises
    ------
    CircuitError
        If there is none of this name.
    """
    known = templates()
    if name not in known:
        raise CircuitError([f"--from {name}: no such template; {did_you_mean(name, known, 12)}"])
    return known[name]


def next_question(text: str, after: int = 0) -> Question | None:
    """The next thing left open in a boat's text, from a place on."""
    match = _UNKNOWN.search(text, after)
    if match is None:
        return None
    line = text[text.rfind("{", 0, match.start()) : text.find("}", match.end())]
    id, label, kind = (pattern.search(line) for pattern in (_PART, _LABEL, _KIND))
    what = " ".join(m.group(1) for m in (id, label or kind) if m)
    runs = _RUN.findall(text, 0, match.start())
    if label is None and runs:
        what += f" of '{runs[-1]}'"
    asks = _ASKS.get(match.group(1), match.group(1))
    return Question(id.group(1) if id else "", match.group(1), f"{what}: {asks}", *match.span())


def answered(text: str, question: Question, answer: str) -> str:
    """The boat's text with one answer put in.

    Raises
    ------
    CircuitError
        If it is none for that key: a sentence.
    """
    plain = re.sub(r"(?<=\d)(?=[^\W\d_])", " ", answer.strip().replace('"', ""))  # '5m' is '5 m'
    plain = re.sub(r"(\d),(\d)", r"\1.\2", plain)
    for spoken, written in _SPOKEN:
        plain = re.sub(spoken, written, plain, flags=re.IGNORECASE)
    if question.key == "size" and plain in _GAUGES:
        raise CircuitError([f'size: found "{plain}"; write "{plain} AWG" or "{plain} mm2"'])
    if re.fullmatch(r"(about )?[\d.]+", plain) and question.key in _UNITS:
        plain += f" {_UNITS[question.key]}"
    made = f'{text[: question.start]}{question.key} = "{plain}"{text[question.end :]}'
    try:
        circuit_from(tomllib.loads(made))
    except CircuitError as error:
        told = [p for p in error.problems if question.key in p] or error.problems
        raise CircuitError([told[0]]) from None
    except tomllib.TOMLDecodeError:
        raise CircuitError([f"{question.key}: found {answer!r}; write it in one line"]) from None
    return made


def interview(
    text: str, ask: Callable[[str], str], keep: Callable[[str], None], say: Callable[[str], None]
) -> str:
    """Ask what a template leaves open, and keep the file after every answer.

    Parameters
    ----------
    text : str
        The template.
    ask : callable
        Returns the answer to a question; '' for 'not known'.
    keep : callable
        Takes the boat's text after each answer, to be written.
    say : callable
        Says what was wrong with an answer.
    """
    keep(text)
    place = 0
    while (question := next_question(text, place)) is not None:
        answer = ask(question.text).strip()
        place = question.end
        if _NOT_KNOWN.fullmatch(answer):
            continue
        try:
            text = answered(text, question, answer)
        except CircuitError as error:
            say(error.problems[0])
            place = question.start  # asked again
            continue
        place = question.start + 1
        keep(text)
    return text
