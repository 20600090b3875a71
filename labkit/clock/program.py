"""What somebody does while time passes: '30 s S2=off', '5 min X1 open', '1 h sea=on'."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from labkit.circuits.circuit import Circuit
from labkit.parts import Trait
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import TIME, QuantityError, shorten

Change = Callable[[Circuit], Circuit]

SEA = "sea"
"""What stands for the motion of the boat: '1 h sea=on'."""

_EXAMPLE = 'write it as "30 s S2=off"'


@dataclass(frozen=True)
class Deed:
    """Something done at a time [s]: what to, what it becomes, and the circuit after it."""

    seconds: float
    what: str
    to: str
    change: Change


def parse_duration(text: str, option: str) -> float:
    """Read a time such as "10 min". [s]

    Raises
    ------
    CircuitError
        If it is none, or longer than a year.
    """
    try:
        seconds = TIME.parse(text)
    except QuantityError as error:
        raise CircuitError([f"{option}: {error}"]) from None
    if seconds > 366 * 86400:
        raise CircuitError([f'{option}: found "{shorten(text)}"; a year is the most'])
    return seconds


def parse_program(texts: Iterable[str], circuit: Circuit) -> list[Deed]:
    """Read what is done while time passes, sorted by time.

    Parameters
    ----------
    texts : iterable of str
        Each a time, and positions ("S2=off S3=on"), a fuse set or fitted anew ("F2=set"), the
        boat's motion ("sea=on"), or a fault ("X1 open").
    circuit : Circuit

    Raises
    ------
    CircuitError
        With everything that is wrong, a sentence each.
    """
    made, problems = [], []
    for text in texts:
        try:
            made += _deeds(text, circuit)
        except CircuitError as error:
            problems += error.problems
    if problems:
        raise CircuitError(problems)
    return sorted(made, key=lambda deed: deed.seconds)


def _deeds(text: str, circuit: Circuit) -> list[Deed]:
    words = text.split() if len(text) <= 200 else []
    if len(words) < 3:
        raise CircuitError(
            [f'--at "{shorten(text)}": is not a time and what is done then; {_EXAMPLE}']
        )
    seconds = parse_duration(" ".join(words[:2]), f'--at "{shorten(text)}"')
    if "=" in words[2]:
        return [_position(seconds, word, text, circuit) for word in _positions(words[2:])]
    fault = " ".join(words[2:])
    try:
        made = circuit.with_fault(fault).faults[-1]
    except CircuitError as error:
        problems = [f'--at "{shorten(text)}": {problem}' for problem in error.problems]
        raise CircuitError(problems) from None
    return [Deed(seconds, made.part, made.mode, lambda c: c.with_fault(made))]


def _positions(words: list[str]) -> list[str]:
    """Put the words of a position together: "G2=full", "sun" are one."""
    found: list[str] = []
    for word in words:
        if "=" in word:
            found.append(word)
        else:
            found[-1] += f" {word}"
    return found


def _position(seconds: float, word: str, text: str, circuit: Circuit) -> Deed:
    id, _, to = word.partition("=")
    if id == SEA:
        if to not in ("on", "off"):
            raise CircuitError([f'--at "{shorten(text)}": sea is on or off; {_EXAMPLE}'])
        return Deed(seconds, SEA, to, lambda c: c if to == "on" else replace_disturbed(c, ()))
    if id not in circuit.parts:
        hint = did_you_mean(id, circuit.parts)
        raise CircuitError([f'--at "{shorten(text)}": no part {shorten(id)!r}; {hint}'])
    if Trait.PROTECTION in circuit.parts[id].traits:
        if to != "set":
            raise CircuitError(
                [f'--at "{shorten(text)}": a fuse or breaker is set again: "{id}=set"']
            )
        return Deed(seconds, id, to, lambda c: set_again(c, id))
    circuit.with_position(**{id: to})  # raises where there is no such position
    return Deed(seconds, id, to, lambda c: c.with_position(**{id: to}))


def set_again(circuit: Circuit, id: str) -> Circuit:
    """Return the circuit with a breaker set, or a fuse replaced by one that is whole."""
    kept = tuple(f for f in circuit.faults if f.part != id or f.mode != "blown")
    return replace(circuit, faults=kept)


def replace_disturbed(circuit: Circuit, ids: Iterable[str]) -> Circuit:
    """Return the circuit with these parts shaken, and no others."""
    return replace(circuit, disturbed=frozenset(ids))
