"""Worked circuit examples of textbooks, told in a few words a part and solved by labkit.

An example's circuit is a list of lines, one a part: its id, the nodes of its first and second end,
its values: "R1 1 2 0.100 ohm". Node 0 is the negative bus; a source's first end is its plus. Each
line becomes a run of its own in labkit's file format. What is expected is a sum of quotients of
the quantities below and the printed answer: "voltage 1 / current G1 = 12 ohm".

| quantity | meaning |
|---|---|
| voltage 2, voltage 1-2, voltage R1 | against the bus, between nodes, across a part |
| current R1 | from its first end to its second; of a source, out of its plus |
| power R1, supplied G1 | taken by a part, given by a source |
| back-emf M1, mechanical M1 | of a motor: rated back emf times speed; that times current |
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path

from labkit.parts.conductors import RESISTIVITY_20C
from labkit.solving.solver import OperatingPoint, solve

from .checks import Check, Row, printed
from .circuits import circuit_of, known
from .wires import CIRCULAR_MIL

FOLDER = Path(__file__).with_name("worked_examples")

_KINDS = {"G": "battery", "R": "resistor", "W": "cable", "E": "lamp", "M": "motor"}
_KEYS = {
    "V": "voltage",
    "A": "current",
    "W": "power",
    "ohm": "resistance",
    "AWG": "size",
    "mm2": "size",
    "m": "length",
    "ft": "length",
}
_EXPECTED = re.compile(r"(.+?) (?:=|(at least|at most)) (.+?)(?: within (.+))?")


@dataclass(frozen=True)
class Example:
    """A worked example: its circuit lines, its faults and the answers its source prints."""

    name: str
    source: str
    lines: tuple[str, ...]
    expect: tuple[str, ...]
    faults: tuple[str, ...]
    copper: float

    def checks(self) -> list[Check]:
        """Solve the example and hold the result against each printed answer."""
        parts = {part.id: part for part in (_part(line, self.copper) for line in self.lines)}
        runs = [part.run() for part in parts.values()]
        circuit = circuit_of(self.name, runs).with_fault(*self.faults)
        answer = _Answer(parts, solve(circuit))
        return [self._check(answer, text) for text in self.expect]

    def _check(self, answer: _Answer, text: str) -> Check:
        match = _EXPECTED.fullmatch(text)
        if match is None:
            raise ValueError(f'{self.name}: "{text}" says neither "=" nor "at least" nor "at most"')
        what, limit, value_text, within = match.groups()
        value, tolerance = printed(value_text)
        found, name = answer.evaluate(what), f"{self.name}: {text}"
        if limit == "at least":
            return Check(name, found, value, float("inf"))
        if limit == "at most":
            return Check(name, found, float("-inf"), value)
        tolerance = printed(within)[0] if within else tolerance
        return Check(name, found, value - tolerance, value + tolerance, value)


@dataclass(frozen=True)
class _Part:
    id: str
    kind: str
    first: str
    second: str
    values: dict[str, str]

    def run(self) -> dict[str, object]:
        ends = [_node(self.first), _node(self.second)]
        if self.kind == "battery":  # traced from its minus to its plus
            ends.reverse()
        return {
            "from": ends[0],
            "to": ends[1],
            "parts": [{"id": self.id, "is": self.kind, **self.values}],
        }


class _Answer:
    """A solved example that can be asked for the quantities of the table above."""

    def __init__(self, parts: dict[str, _Part], solved: OperatingPoint) -> None:
        self._parts = parts
        self._solved = solved

    def evaluate(self, what: str) -> float:
        total = 0.0
        for term in what.split(" + "):
            above, *below = (self._quantity(name) for name in term.split(" / "))
            for divisor in below:
                above /= divisor
            total += above
        return total

    def _quantity(self, name: str) -> float:
        quantity, _, of = name.strip().partition(" ")
        if quantity == "voltage":
            return self._voltage(of)
        current = known(self._solved.amps[of])
        if quantity == "current":
            return current
        if quantity in ("power", "supplied"):
            taken = self._voltage(of) * current
            if self._parts[of].kind == "battery":  # its current flows from minus to plus inside
                taken = -taken
            return -taken if quantity == "supplied" else taken
        rated = {key: printed(text)[0] for key, text in self._parts[of].values.items()}
        back_emf = rated["voltage"] - rated["current"] * rated["resistance"]
        back_emf *= known(self._solved.speeds[of])
        return {"back-emf": back_emf, "mechanical": back_emf * current}[quantity]

    def _voltage(self, of: str) -> float:
        if of in self._parts:
            first, second = self._parts[of].first, self._parts[of].second
        else:
            first, _, second = of.partition("-")
        return self._volts(first) - self._volts(second or "0")

    def _volts(self, node: str) -> float:
        return known(self._solved.volts[_node(node)])


def _node(number: str) -> str:
    return "DC-" if number == "0" else f"node {number}"


def _part(line: str, copper: float) -> _Part:
    name, *words = line.split()
    kind = words.pop(0) if words[0].isalpha() else _KINDS[name[0]]
    first, second, *values = words
    keyed = {}
    for number, unit in zip(values[::2], values[1::2], strict=True):
        key = _KEYS[unit if unit in _KEYS else unit[1:]]
        if kind == "battery" and key == "voltage":
            key = "emf"
        if key == "length":
            number = repr(float(number) * copper / RESISTIVITY_20C)
        keyed[key] = f"{number} {unit}"
    if kind == "battery":
        keyed.setdefault("resistance", "0 ohm")
    return _Part(name, kind, first, second, keyed)


def _copper(text: str | None) -> float:
    if text is None:
        return RESISTIVITY_20C
    number, unit = text.split(" ", 1)
    return float(number) * {"ohm m": 1.0, "ohm cmil/ft": CIRCULAR_MIL / 0.3048}[unit]


@cache
def examples() -> dict[str, tuple[Example, ...]]:
    """All worked examples, by the title of their file."""
    found = {}
    for path in sorted(FOLDER.glob("*.toml")):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        found[data["title"]] = tuple(
            Example(
                name=item["id"],
                source=item["source"],
                lines=tuple(item["circuit"]),
                expect=tuple(item["expect"]),
                faults=tuple(item.get("faults", ())),
                copper=_copper(item.get("copper")),
            )
            for item in data["example"]
        )
    return found


def _sources(group: tuple[Example, ...]) -> str:
    books = ("University Physics", "College Physics", "Lessons")
    titles = {
        "University Physics": "OpenStax University Physics 2",
        "College Physics": "OpenStax College Physics 2e",
        "Lessons": "Lessons in Electric Circuits I",
    }
    return ", ".join(
        titles[book] for book in books if any(book in example.source for example in group)
    )


def _checks_of(group: tuple[Example, ...]) -> list[Check]:
    return [check for example in group for check in example.checks()]


def rows() -> list[Row]:
    """A row of the table for each file of worked examples."""
    return [
        Row(
            f"{title}: {len(group)} worked circuits",
            _sources(group),
            "read",
            partial(_checks_of, group),
        )
        for title, group in examples().items()
    ]
