"""What people type, put into the order in which evidence is written.

"12.3 V at F1:2" is "F1:2 12.3 V"; "the pump is dead" is "M1 is dead"; "f1 blown" is "F1 blown";
"S2 on" behind anything else is the setting "S2=on". What is written in order already stays as it
is.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from labkit.aboard.acts import ACTS
from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import FUNCTIONS
from labkit.parts import KINDS, Part
from labkit.parts.traits import Trait

NUMBER = re.compile(r"([+-]?)\s*(\d+)?(?:[.,](\d+))?\s*([a-zA-ZµuΩ]*)")
"""A number as people type it, with or without a unit: sign, whole, decimals, unit."""

OVER = ("ol", "o.l", "o.l.", "0l", "over range", "overload", "1.", "infinite")
"""What people call a reading over range."""

_FIRST = re.compile(
    r"(?P<number>[+-]?\d*[.,]?\d+\s*[a-zA-ZµΩ]+)\s+(?:at|on|across|between)\s+(?P<place>.+)"
)
_ARTICLES = ("the", "my", "a", "our")
_JOINING = ("with", "when", "while", "as")
_SHOWN = Trait.LOAD | Trait.SOURCE | Trait.PROTECTION
_LONGEST = 4  # words in a label
_ALSO = {"lamp": ("light", "bulb")}  # what a kind is called as well


def plainly(text: str, circuit: Circuit) -> str:
    """Put what was typed into the order and the spelling of evidence.

    Parameters
    ----------
    text : str
    circuit : Circuit
    """
    first = _FIRST.fullmatch(text.strip())
    if first is not None:
        text = f"{first['place']} {first['number']}"
    words = [_spelt(word, circuit) for word in _named(text.split(), circuit)]
    return " ".join(_function_behind(_settings(words, circuit), circuit))


def is_number(text: str) -> bool:
    """Tell whether a text is a reading: a number, with a unit or without, or over range."""
    match = NUMBER.fullmatch(text)
    return text.lower() in OVER or bool(match and (match[2] or match[3]))


def _function_behind(words: list[str], circuit: Circuit) -> list[str]:
    """'ohms 3 4 OL' as '3 4 ohms OL', and 'look M1 dead' as 'M1 look dead'."""
    if len(words) > 2 and words[0] in ACTS and words[1] in circuit.parts:
        return [words[1], words[0], *words[2:]]
    if not words or words[0] not in FUNCTIONS:
        return words
    end = next((n for n, word in enumerate(words) if "=" in word), len(words))
    for n in range(end - 1, 1, -1):
        if is_number(" ".join(words[n:end])):
            return [*words[1:n], words[0], *words[n:]]
    return words


def _named(words: list[str], circuit: Circuit) -> list[str]:
    """Put the id for what a part is called by its label or kind, where there is just one such."""
    rest = words[1:] if words and words[0].lower() in _ARTICLES else words
    if not rest or rest[0] in circuit.parts or rest[0] in circuit.node_of:
        return rest
    if len(rest) > 1 and rest[0].lower() in KINDS and _id(rest[1], circuit):
        return rest[1:]
    names = {name.casefold() for name in circuit.node_of}
    for n in range(min(_LONGEST, len(rest)), 0, -1):
        said = " ".join(rest[:n]).casefold()
        if said in names or _id(said, circuit):
            return rest
        called = list(_called(said, circuit))
        if len(called) == 1:
            rest = rest[n:]
            if rest[:2] == ["at", "rest"] and is_number(" ".join(rest[2:])):
                rest = rest[2:]
            return [called[0].id, *rest]
    return rest


def _called(said: str, circuit: Circuit) -> Iterator[Part]:
    for part in circuit.parts.values():
        label = part.label.casefold()
        kinds = (part.kind, *_ALSO.get(part.kind, ()))
        if part.traits & _SHOWN and (said in kinds or f" {label}".endswith(f" {said}")):
            yield part


def _spelt(word: str, circuit: Circuit) -> str:
    """A part, or a setting of one, in capitals."""
    id, mark, rest = word.partition("=")
    return f"{_id(id, circuit) or id}{mark}{rest}"


def _id(word: str, circuit: Circuit) -> str:
    return word.upper() if word.upper() in circuit.parts else ""


def _settings(words: list[str], circuit: Circuit) -> list[str]:
    """'S2 on' behind anything else is 'S2=on'."""
    made: list[str] = []
    for word in words:
        before = made[-1] if len(made) > 1 else ""
        part = circuit.parts.get(before)
        free = part is not None and (len(made) < 2 or made[-2].lower() not in _JOINING)
        if free and part is not None and before in circuit.positions and word in part.choices:
            made[-1] = f"{before}={word}"
        else:
            made.append(word)
    return made
