"""What was done aboard and what was seen: a measurement, and a measurement with its outcome."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from labkit.aboard.acts import ACTS
from labkit.aboard.setting import Setting
from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import FUNCTIONS
from labkit.measuring.senses import words_of
from labkit.parts import Trait
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import CURRENT, RESISTANCE, VOLTAGE, QuantityError

NO_NUMBER = ("OL", "-OL", "unsteady")
"""What a meter may show instead of a number."""

_KINDS = {"V": VOLTAGE, "A": CURRENT, "ohm": RESISTANCE}
_EXAMPLE = 'write it as "X1:1 DC- volts 12.6 V S2=on" or "M1 look runs as it should S2=on"'
_BRIDGES = ("jumper", "lamp")


def senses() -> list[str]:
    """Names of the acts that ask without a meter: their outcome is a word."""
    return [act.name for act in ACTS.values() if act.sense]


@dataclass(frozen=True)
class Measurement:
    """Something that can be done to learn more.

    Attributes
    ----------
    function : str
        Of the meter ('volts', 'ohms', ...), or 'look' (at a load, in `red`), 'wiggle' (the part in
        `red` while watching the load in `black`), 'test lamp' (between `red` and `black`), 'pull'
        (the fuse in `red`, and look at it), 'fit' (a sound one in its place, a breaker set again).
    red, black : str
        Terminals or named nodes; parts for the senses.
    positions : mapping of str to str
        Of switches, where they are not as the circuit has them.
    parted : frozenset of str
        Terminals taken apart, beside those the circuit has apart.
    jumper : tuple of str
        Two points bridged by the jumper, or nothing.
    lamp : tuple of str
        Two points that the test lamp is left between, or nothing.
    """

    function: str
    red: str
    black: str = ""
    positions: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    parted: frozenset[str] = frozenset()
    jumper: tuple[str, ...] = ()
    lamp: tuple[str, ...] = ()

    @property
    def state(self) -> tuple[object, ...]:
        """What the circuit must be brought into, as a key."""
        return tuple(sorted(self.positions.items())), self.parted, self.jumper, self.lamp

    @property
    def setting(self) -> Setting:
        """The same for whoever brings it there."""
        bridges = {"jumper": self.jumper, "test lamp": self.lamp}
        put = {id: ends for id, ends in bridges.items() if ends}
        return Setting(self.positions, self.parted, bridges=put)

    def __str__(self) -> str:
        extra = [f"{id}={word}" for id, word in self.positions.items()]
        extra += [f"{t}=parted" for t in sorted(self.parted)]
        extra += [
            f"{n}={'/'.join(b)}" for n, b in (("jumper", self.jumper), ("lamp", self.lamp)) if b
        ]
        return " ".join(w for w in (self.red, self.black, self.function, *extra) if w)

    def saw(self, seen: str) -> Evidence:
        """Return this measurement with its outcome."""
        return Evidence(
            self.function, self.red, self.black, self.positions, self.parted, self.jumper,
            self.lamp, seen,
        )  # fmt: skip


@dataclass(frozen=True)
class Evidence(Measurement):
    """A measurement and what it showed: a display such as '12.63 V', or a word."""

    seen: str = ""

    def __str__(self) -> str:
        head = replace(self, positions={}, parted=frozenset(), jumper=(), lamp=())
        rest = super().__str__()[len(Measurement.__str__(head)) :]
        return f"{Measurement.__str__(head)} {self.seen}{rest}"

    @property
    def value(self) -> float:
        """The number shown, in SI units; infinite over range, nan unsteady."""
        if self.seen in NO_NUMBER:
            return {"OL": float("inf"), "-OL": float("-inf")}.get(self.seen, float("nan"))
        return _number(self.seen, FUNCTIONS[self.function].unit)[0]

    @property
    def rounding(self) -> float:
        """Half a unit of the last digit given, in SI units."""
        if self.seen in NO_NUMBER:
            return 0.0
        return _number(self.seen, FUNCTIONS[self.function].unit)[1]


def _number(text: str, unit: str) -> tuple[float, float]:
    match = re.fullmatch(r"\s*([+-]?)(\d*\.?\d+)\s*(.*\S)\s*", text)
    if match is None:
        raise QuantityError(f'found "{text}"; write a number with its unit, such as "12.6 V"')
    sign, digits, written = match.groups()
    value = _KINDS[unit].parse(f"{digits} {written}")
    decimals = len(digits.partition(".")[2])
    one = _KINDS[unit].parse(f"1 {written}")
    return (-value if sign == "-" else value), 0.5 * 10.0**-decimals * one


def parse_seen(text: str, circuit: Circuit) -> Evidence:
    """Read a piece of evidence as it is written on the command line.

    Parameters
    ----------
    text : str
        Leads, function, outcome, and settings: "X1:1 DC- volts 12.6 V S2=on",
        "M1 look is dim S2=on", "X1 M1 wiggle M1 stutters", "F2 pull blown",
        "W2:2 DC- ohms OL S1=off X1:2=parted", "M1 look turns slowly jumper=X1:1/X1:2".
    circuit : Circuit

    Raises
    ------
    CircuitError
        In a sentence, naming what could not be read and what would be right.
    """

    def refuse(problem: str) -> CircuitError:
        return CircuitError([f'seen "{text}": {problem}'])

    words = text.replace("test lamp", "test-lamp").split()
    functions = {**{name: name for name in (*FUNCTIONS, *senses())}, "test-lamp": "test lamp"}
    place = next((n for n, word in enumerate(words) if word in functions), None)
    if place is None:
        third = words[2] if len(words) > 2 else ""
        hint = did_you_mean(third, functions, 12) if third else _EXAMPLE
        raise refuse(f"names no function; {hint}" if third else f"names no function; {_EXAMPLE}")
    function, leads, rest = functions[words[place]], words[:place], words[place + 1 :]
    outcome = " ".join(w for w in rest if "=" not in w)
    try:
        bare = _settings([w for w in rest if "=" in w], circuit)
        red, black = _leads(function, leads, circuit)
    except CircuitError as error:
        raise refuse(error.problems[0]) from None
    made = replace(bare, function=function, red=red, black=black).saw(outcome)
    if not outcome:
        raise refuse(f"does not say what was seen; {_EXAMPLE}")
    problem = _outcome_problem(made, circuit)
    if problem:
        raise refuse(problem)
    return made


def _settings(words: list[str], circuit: Circuit) -> Measurement:
    positions: dict[str, str] = {}
    parted: set[str] = set()
    bridges: dict[str, tuple[str, ...]] = {}
    for word in words:
        key, _, value = word.partition("=")
        if key in _BRIDGES:
            ends = value.split("/")
            if len(ends) != 2:
                raise CircuitError([f'{word}: write the two points bridged, "{key}=X1:1/X1:2"'])
            bridges[key] = tuple(circuit.point(end) for end in ends)
        elif ":" in key:
            if value != "parted":
                raise CircuitError([f'{word}: a terminal can only be "{key}=parted"'])
            circuit.with_parted(key)
            parted.add(key)
        else:
            circuit.with_position(**{key: value})
            positions[key] = value
    return Measurement(
        "", "", "", MappingProxyType(positions), frozenset(parted),
        bridges.get("jumper", ()), bridges.get("lamp", ()),
    )  # fmt: skip


def _leads(function: str, leads: list[str], circuit: Circuit) -> tuple[str, str]:
    if function in FUNCTIONS:
        return _points(function, leads, circuit)
    act = ACTS[function]
    wanted = [need for need in act.needs if need.otherwise is None]
    if wanted[0].sort == "point":
        return _points(function, leads, circuit)
    if len(leads) != len(wanted):
        right = " and ".join(_ABOUT[need.sort] for need in wanted)
        raise CircuitError([f"found {len(leads)} places before '{function}'; write {right}"])
    first, second = [*(circuit.part(id).id for id in leads), ""][:2]
    return first, second


_ABOUT = {
    "load": "the load looked at",
    "protection": "the fuse",
    "gap": "the fuse",
    "part": "the part",
}


def _points(function: str, leads: list[str], circuit: Circuit) -> tuple[str, str]:
    if function == "clamp":
        if len(leads) != 1:
            right = "write the one terminal the clamp is at"
            raise CircuitError([f"found {len(leads)} places before 'clamp'; {right}"])
        return circuit.point(leads[0]), ""
    if len(leads) == 1:
        leads = [*leads, "DC-"]
    if len(leads) != 2:
        raise CircuitError([f"found {len(leads)} leads; write where red and black are"])
    return circuit.point(leads[0]), circuit.point(leads[1])


def _outcome_problem(evidence: Evidence, circuit: Circuit) -> str:
    if evidence.function in FUNCTIONS:
        try:
            _ = evidence.value
        except QuantityError as error:
            return f'{error}, or "OL"'
        return ""
    right = outcomes(evidence, circuit)
    if not right:
        watched = evidence.black or evidence.red
        fuse = ACTS[evidence.function].needs[0].sort in ("protection", "gap")
        parts = circuit.parts.values()
        some = [p.id for p in parts if (Trait.PROTECTION in p.traits if fuse else words_of(p))]
        return f"{watched} shows nothing there; {did_you_mean(watched, some)}"
    if evidence.seen not in right:
        return f"nothing is seen as '{evidence.seen}'; {did_you_mean(evidence.seen, right, 12)}"
    return ""


def outcomes(measurement: Measurement, circuit: Circuit) -> tuple[str, ...]:
    """What may be seen without a meter, as words; () where there is nothing to see."""
    sense = ACTS[measurement.function].sense
    return sense.words(circuit, measurement.red, measurement.black) if sense else ()
