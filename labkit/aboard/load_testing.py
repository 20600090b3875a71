"""A battery's load test: half its cranking current for a quarter of a minute."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from labkit.aboard import safety
from labkit.aboard.act import Act, Need, Outcome, Sense
from labkit.aboard.scene import Scene
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.circuits.tracing import Pass, Run
from labkit.measuring.meter import Hazard
from labkit.parts import Battery, Fault, Part
from labkit.parts.cells import settle_wells
from labkit.parts.laws import Linear
from labkit.solving.network import Network, Wire, flatten
from labkit.solving.settling import settle
from labkit.text.messages import CircuitError, article
from labkit.text.quantities import show

LIMITS = (
    (-18.0, 8.5), (-12.0, 8.7), (-7.0, 8.9), (-1.0, 9.1), (4.0, 9.3), (10.0, 9.4), (16.0, 9.5),
    (21.0, 9.6),
)  # fmt: skip  # rows that a reader compares
"""Temperature [C] to the least volts of a 12 V lead battery after 15 s; above 21 C as at 21 C.

US Army TM 5-4210-230-14&P-1, table 5.
"""

SECONDS = 15.0
LEAST_REST = 12.4
"""A battery of 12 V that rests below this is charged before it is tested. [V]

Common practice, no source.
"""

_STEPS = 3
_TRIAL = 0.05  # load of 12 V from whose current that of the test follows: cells are linear [ohm]
_WORDS = ("passes", "fails", "is too low to test")


class LoadTest(NamedTuple):
    """What a load test shows: volts at rest, the current drawn, volts under it, and the limit.

    `left` is the charge near the plates and in the bulk of them that it leaves.
    """

    rest: float
    amps: float
    volts: float
    least: float
    system: float
    celsius: float
    left: tuple[float, float] = (0.0, 0.0)

    @property
    def word(self) -> str:
        """How it comes out."""
        if self.rest < LEAST_REST * self.system / 12.0:
            return _WORDS[2]
        return _WORDS[0] if self.volts >= self.least else _WORDS[1]

    def __str__(self) -> str:
        rest, amps, volts, least = (
            show(value, unit, 3)
            for value, unit in (
                (self.rest, "V"),
                (self.amps, "A"),
                (self.volts, "V"),
                (self.least, "V"),
            )
        )
        if self.word == _WORDS[2]:
            return f"{rest} at rest: {self.word}"
        return (
            f"{rest} at rest, {volts} after {SECONDS:.0f} s at {amps}, "
            f"least {least} at {show(self.celsius, 'C')}: {self.word}"
        )


def limit(celsius: float, system: float = 12.0) -> float:
    """Least volts a sound lead battery holds in the load test. [V]

    Parameters
    ----------
    celsius : float
        Temperature of its cells.
    system : float
        Nominal voltage. [V]
    """
    held = min(max(celsius, LIMITS[0][0]), LIMITS[-1][0])
    for (low, a), (high, b) in pairwise(LIMITS):
        if held <= high:
            return (a + (b - a) * (held - low) / (high - low)) * system / 12.0
    return LIMITS[-1][1] * system / 12.0


def load_test(
    battery: Battery, faults: Sequence[Fault], system: float, charge: Sequence[float] = ()
) -> LoadTest:
    """Test a battery that nothing else is connected to.

    Parameters
    ----------
    battery : Battery
        Lead.
    faults : sequence of Fault
        Of that battery.
    system : float
        Nominal voltage. [V]
    charge : sequence of float
        Near its plates and in the bulk of them, where they are known.

    Notes
    -----
    Half the cranking amperes, or three amperes for each ampere-hour where none are printed on it
    (a load tester's manual, easymanua.ls sb-5, p. 9). It warms the cells by less than half a
    kelvin (7 kJ in 15 s, in 18 kg of lead and acid), which is left out.
    """
    passes = (Pass(battery.id, "-", "+"),)
    own = tuple(f for f in faults if f.part == battery.id and not f.to)
    alone = Circuit(
        "", system, (Run("", NEGATIVE, "post", passes),), {battery.id: battery}, faults=own
    )
    amps = battery.cca / 2 if battery.cca is not None else 3.0 * battery.amp_hours
    low = next((f.value for f in own if f.mode == "low" and f.value is not None), battery.charge)
    near, bulk = charge or (low or 0.0, low or 0.0)
    rest, volts = _posts(alone, near, amps), 0.0
    share = -amps / (battery.amp_hours * battery.health * 3600.0)
    for _ in range(_STEPS):
        near, bulk = settle_wells(near, bulk, share, SECONDS / _STEPS)
        volts = _posts(alone, near, amps)[1]
    celsius = battery.temperature
    least = limit(celsius, system)
    return LoadTest(rest[0], amps, max(volts, 0.0), least, system, celsius, (near, bulk))


def _posts(alone: Circuit, near: float, amps: float) -> tuple[float, float]:
    """Volts at the posts with nothing drawn, and with so much. [V]"""
    (id,) = alone.parts
    net = flatten(alone, {id: {"near": near}}, SECONDS / _STEPS)
    post = net.node_of["post"]
    idle, loaded = (
        settle(
            Network(net.node_of, [*net.wires, Wire("tester", "pile", post, 0, law)], net.settlers)
        )[-1][0].volts[post]
        for law in (Linear.resistor(1e9), Linear.resistor(_TRIAL * alone.system / 12.0))
    )
    drawn = loaded / (_TRIAL * alone.system / 12.0)
    if not drawn:
        return float(idle), 0.0
    return float(idle), float(idle - (idle - loaded) / drawn * amps)


def _tested(scene: Scene, id: str) -> Outcome:
    part, here = scene.circuit.part(id), scene.circuit
    if not isinstance(part, Battery) or part.chemistry == "lifepo4":
        batteries = ", ".join(first for first, _ in _batteries(here))
        what = "a lithium battery" if isinstance(part, Battery) else article(part.kind)
        right = f"what it is for: {batteries}" if batteries else "there is none here"
        raise CircuitError([f"{id} is {what}; a load test is for lead batteries; {right}"])
    body = scene.warmth.now(here).bodies.get(id)
    charge = body.state[:2] if body is not None and body.charge is not None else ()
    found = load_test(part, here.faults, here.system, charge)
    if charge and found.word != _WORDS[2]:
        scene.warmth.drained(here, id, found.left)
    off = here if f"{id}:-" in here.parted else here.with_parted(f"{id}:-")
    return Outcome(str(found), safety.watch(here, off))


def is_lead(part: Part) -> bool:
    """Tell whether a part is a battery that a load test is for."""
    return isinstance(part, Battery) and part.chemistry != "lifepo4"


def _batteries(circuit: Circuit) -> list[tuple[str, str]]:
    return [(part.id, "") for part in circuit.parts.values() if is_lead(part)]


def _may(circuit: Circuit, id: str, _: str = "") -> tuple[str, ...]:
    return _WORDS if (id, "") in _batteries(circuit) else ()


def _told(shows: str, hazards: Iterable[Hazard], first: str) -> str:
    return shows.rpartition(": ")[2]


TESTING = (
    Act(
        "load test", 8.0, _tested, (Need("id", "battery", "the battery"),), "load test of {id}",
        "Test under load",
        Sense(_may, "a load test of {red}", _batteries, "found", "{red} ", _told), changes=False,
    ),
)  # fmt: skip  # rows that a reader compares
"""Its cable off and on again is most of the minutes: on a bank, the others would carry the load."""
