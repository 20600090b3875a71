"""One digital multimeter: what it shows between two points, and how far that can be trusted.

The meter is part of the circuit while it reads: a load of 10 megohm in volts, a small source in
ohms, nearly a piece of wire in amps. Its display has 6000 counts and picks its own range; its
accuracy is an interval around what it shows.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.measuring.solid import Solid
from labkit.parts import Trait
from labkit.parts.laws import Floats, Law, Linear, Value
from labkit.solving.ripple import ripple_between
from labkit.solving.solver import Across, measure, solve
from labkit.text.messages import CircuitError, did_you_mean

COUNTS = 6000
"""Largest number the display can show, and one."""

VOLTS_RESISTANCE = 10e6
"""Of the volts function. [ohm] Usual for handheld meters; Lessons in Electric Circuits I, ch. 8."""

LOW_Z_RESISTANCE = 3e3
"""Of the low-impedance volts function. [ohm] A stage-lighting maker's support note."""

LEADS = 0.2
"""Resistance of both test leads together. [ohm] Instrument makers' notes: 0.2 to 0.5 ohm."""

AMPS_BURDEN = 0.05
"""Of the amps function, heavy leads and own fuse included. [ohm] Common practice, no source."""

AMPS_FUSE = 10.0
"""Rating of the fuse behind the amps jack. [A]"""

TONE_BELOW = 50.0
"""Continuity sounds below this. [ohm] As in one handheld meter's manual."""

OHMS_EMF = 2.5
"""Open-circuit voltage of the ohms function. [V] Common practice, no source."""

DIODE_EMF, DIODE_RESISTANCE = 3.0, 2.5e3  # about 1 mA through a silicon diode; common practice
DIODE_MOST = 2.8
"""More than this is shown as OL. [V]"""
LIVE = 0.1
"""More than this between the points makes ohms a false reading, and unkind to the meter. [V]"""


@dataclass(frozen=True)
class Hazard:
    """Something dangerous that was done, said calmly."""

    kind: str
    text: str


@dataclass(frozen=True, repr=False)
class Reading:
    """What the meter shows.

    Attributes
    ----------
    function, red, black : str
    display : str
        As on the meter: digits, prefix and unit; 'OL' over range.
    value : float or None
        What the meter senses, in `unit`; None over range or where it will not settle.
    unit : str
        'V', 'ohm' or 'A'.
    low, high : float
        The interval in which the sensed value lies, by the meter's accuracy.
    tone : bool
        Continuity sounds.
    floating : bool
        A point that nothing but the meter ties to the rest: the display would wander near zero.
    hazards : tuple of Hazard
    opened : tuple of str
        Fuses that opened because of the meter.
    void : str
        Why it tells nothing of the boat, or ''.
    """

    function: str
    red: str
    black: str
    display: str
    value: float | None
    unit: str
    low: float
    high: float
    tone: bool = False
    floating: bool = False
    hazards: tuple[Hazard, ...] = ()
    opened: tuple[str, ...] = ()
    void: str = ""

    def __repr__(self) -> str:
        return self.display

    @property
    def spoken(self) -> str:
        """The reading as a sentence, for a screen reader."""
        where = (
            f"{self.red}"
            if self.function == "clamp"
            else f"red on {self.red}, black on {self.black}"
        )
        shows = "over range" if self.display == "OL" else self.display.replace("-", "minus ")
        return f"{self.function}, {where}: {shows}"


@dataclass(frozen=True)
class Function:
    """One function of the meter.

    Attributes
    ----------
    unit : str
    ranges : tuple of float
        Largest value of each range, least first.
    percent, counts : float
        Accuracy: plus or minus this share of the reading and so many of the last digit.
    read : callable
        Reads the circuit.
    zero : float
        Taken off a resistance before it is shown, once the leads were held together. [ohm]
    """

    unit: str
    ranges: tuple[float, ...]
    percent: float
    counts: int
    says: str
    read: Callable[[Circuit, str, str, Function], Reading] = field(repr=False)
    zero: float = 0.0


def read(
    circuit: Circuit, red: str, black: str = "DC-", function: str = "volts", zeroed: bool = False
) -> Reading:
    """Read the meter with its leads on two points of a circuit.

    Parameters
    ----------
    circuit : Circuit
    red, black : str
        Terminals ('X1:1'), named nodes ('panel') or numbers of test points. A clamp goes round the
        wire at the red terminal alone.
    function : str
        A key of FUNCTIONS.
    zeroed : bool
        Take the resistance of the leads off ohms and continuity.

    Returns
    -------
    Reading

    Raises
    ------
    CircuitError
        If there is no such point or function.
    """
    function = SAID.get(function.lower(), function)
    if function not in FUNCTIONS:
        raise CircuitError([f"no meter function '{function}'; {did_you_mean(function, FUNCTIONS)}"])
    chosen = replace(FUNCTIONS[function], zero=LEADS if zeroed else 0.0)
    return chosen.read(circuit, circuit.point(red), circuit.point(black), chosen)


# -- volts ----------------------------------------------------------------------------------


def _volts(circuit: Circuit, red: str, black: str, function: Function) -> Reading:
    across = measure(circuit, red, black, Linear.resistor(VOLTS_RESISTANCE))
    return _shown("volts", function, red, black, across, across.volts)


def display(function: Function, value: float) -> str:
    """Return what a function's display shows for a value it senses."""
    return _shown("", function, "", "", Across(None, None, True), value).display


def volts_shown(volts: float) -> str:
    """Return the display for a voltage sensed in volts, "unsteady" for nan. [V]"""
    across = Across(volts, None, True)
    value = None if math.isnan(volts) else volts
    return _shown("volts", FUNCTIONS["volts"], "", "", across, value).display


def _low_z(circuit: Circuit, red: str, black: str, function: Function) -> Reading:
    across = measure(circuit, red, black, Linear.resistor(LOW_Z_RESISTANCE))
    return _shown("low-z", function, red, black, across, across.volts)


def _volts_ac(circuit: Circuit, red: str, black: str, function: Function) -> Reading:
    across = measure(circuit, red, black, Linear.resistor(VOLTS_RESISTANCE))
    volts = ripple_between(circuit, red, black, VOLTS_RESISTANCE)
    return _shown("volts-ac", function, red, black, across, volts)


# -- ohms, continuity, diode: a small source in the meter -------------------------------------


def ohms_source(full: float) -> Linear:
    """What the meter is between its points on a range of the ohms function, its leads included."""
    return Linear.emf(OHMS_EMF, _reference(full) + LEADS)


def ohms_sensed(volts: Value, full: float, xp: Any = Floats) -> Value:
    """Resistance the meter makes of the voltage between its points; inf where nothing conducts.

    It compares the voltage at its jacks with that across its reference.

    Parameters
    ----------
    volts : float or array
        Between the points, with :func:`ohms_source` there. [V]
    full : float
        The range's largest value. [ohm]
    xp : optional
        numpy for arrays.
    """
    reference = _reference(full)
    jacks = volts + LEADS * (OHMS_EMF - volts) / (reference + LEADS)
    left = OHMS_EMF - jacks
    conducts = (left > 1e-12) & (jacks > -1e-12)
    return xp.where(conducts, reference * jacks / xp.maximum(left, 1e-12), math.inf)


def over_range(value: Value, full: float) -> Value:
    """Whether a range ends below a value, which the display would round beyond it."""
    return value >= full * (1 - 0.5 / COUNTS)


def _reference(full: float) -> float:
    """Of the ohms function, so that a full-scale resistance takes a fifth of the EMF. [ohm]"""
    return 4.0 * full


def _resistance(name: str, circuit: Circuit, red: str, black: str, function: Function) -> Reading:
    for full in function.ranges:
        across = _testing(circuit, red, black, ohms_source(full))
        ohms = None
        if across.volts is not None:
            ohms = ohms_sensed(across.volts, full) - function.zero
        if ohms is None or not over_range(ohms, full):
            break
    return _shown(name, function, red, black, across, ohms, _live(circuit, red, black))


def _testing(circuit: Circuit, red: str, black: str, law: Law) -> Across:
    """Measure with a source in the meter that drives current out of the red lead."""
    return measure(circuit, black, red, law).turned()


def _ohms(circuit: Circuit, red: str, black: str, function: Function) -> Reading:
    return _resistance("ohms", circuit, red, black, function)


def _continuity(circuit: Circuit, red: str, black: str, function: Function) -> Reading:
    return _resistance("continuity", circuit, red, black, function)


def _diode(circuit: Circuit, red: str, black: str, function: Function) -> Reading:
    across = _testing(circuit, red, black, Linear.emf(DIODE_EMF, DIODE_RESISTANCE))
    volts = across.volts
    live = _live(circuit, red, black)
    if volts is None or volts <= DIODE_MOST:
        return _shown("diode", function, red, black, across, volts, live)
    return replace(_shown("diode", function, red, black, across, math.inf, live), low=DIODE_MOST)


def _live(circuit: Circuit, red: str, black: str) -> tuple[Hazard, ...]:
    there = measure(circuit, red, black, Linear.resistor(VOLTS_RESISTANCE)).volts
    if there is None or abs(there) <= LIVE:
        return ()
    text = (
        f"There are {abs(there):.1f} V between these points. The meter measures resistance with a "
        "small current of its own, so on a live circuit its number means nothing and the meter may "
        "be harmed: switch off and take the part out of circuit first."
    )
    return (Hazard("ohms live", text),)


# -- amps -----------------------------------------------------------------------------------


def _amps(circuit: Circuit, red: str, black: str, function: Function) -> Reading:
    across = measure(circuit, red, black, Linear.resistor(AMPS_BURDEN), AMPS_FUSE)
    was = solve(circuit).opened
    blown = [id for id in across.opened if id not in was]  # the meter's fuse, or one aboard
    if not blown:
        return _shown("amps", function, red, black, across, across.amps)
    which = f"The meter's {AMPS_FUSE:g} A fuse" if "meter" in blown else blown[0]
    return _shown(
        "amps", function, red, black, across, across.amps, (_too_many(circuit, red, black, which),)
    )


def _too_many(circuit: Circuit, red: str, black: str, fuse: str) -> Hazard:
    """Say why a fuse opened: the leads were across a supply, or in line with too much."""
    solid = Solid(circuit)
    supplies = [
        solid.pair(f"{p.id}:+", f"{p.id}:-")
        for p in circuit.parts.values()
        if Trait.SOURCE in p.traits and f"{p.id}:+" in circuit.node_of
    ]
    if solid.pair(red, black) not in supplies:
        text = (
            f"{fuse} opened: the meter was in line, where it belongs in amps, and more flowed than "
            "the fuse lets pass. Look for what takes so much; the clamp measures it without a fuse."
        )
        return Hazard("fuse opened", text)
    volts = measure(circuit, red, black, Linear.resistor(VOLTS_RESISTANCE)).volts
    text = (
        f"{fuse} opened. In amps the meter is nearly a piece of wire, and it was put across "
        f"{abs(volts or 0.0):.1f} V; in line it belongs in the place of a connection taken apart."
    )
    return Hazard("meter short", text)


def _clamp(circuit: Circuit, red: str, black: str, function: Function) -> Reading:
    if ":" not in red:
        right = "give a terminal, such as 'W1:1'"
        raise CircuitError([f"the clamp goes round one wire; {right}, not the node '{red}'"])
    point = solve(circuit)
    amps = point.at_terminal(red)
    across = Across(None, amps, True, point.opened)
    return _shown("clamp", function, red, "", across, amps)


# -- the display ------------------------------------------------------------------------------


def _shown(
    name: str,
    function: Function,
    red: str,
    black: str,
    across: Across,
    value: float | None,
    hazards: tuple[Hazard, ...] = (),
) -> Reading:
    def made(display: str, low: float, high: float, sensed: float | None) -> Reading:
        tone = name == "continuity" and sensed is not None and sensed < TONE_BELOW
        seen = (name, red, black, display, sensed, function.unit, low, high, tone)
        return Reading(*seen, not across.tied, hazards, across.opened)

    if value is None:
        return made("unsteady", -math.inf, math.inf, None)
    full = next((f for f in function.ranges if not over_range(abs(value), f)), None)
    if full is None:
        low, high = (
            (function.ranges[-1], math.inf) if value > 0 else (-math.inf, -function.ranges[-1])
        )
        return made("OL", low, high, None)
    step = full / COUNTS
    steps = round(value / step)
    spread = function.percent / 100 * abs(steps * step) + function.counts * step
    return made(
        _digits(steps, full, function.unit), steps * step - spread, steps * step + spread, value
    )


_SCALES = ((1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"))


def _digits(steps: int, full: float, unit: str) -> str:
    """Digits of a display: four of them, the point and prefix fixed by the range."""
    scale, prefix = next((s, p) for s, p in _SCALES if full >= s)
    step = full / scale / COUNTS
    decimals = max(0, round(-math.log10(step)))
    return f"{steps * step + 0.0:.{decimals}f} {prefix}{unit}"


FUNCTIONS: Mapping[str, Function] = {
    "volts": Function("V", (0.6, 6.0, 60.0, 600.0), 0.5, 2, "volts DC, 10 megohm", _volts),
    "low-z": Function("V", (6.0, 60.0, 600.0), 1.0, 3, "volts DC through 3 kilohm", _low_z),
    "ohms": Function("ohm", (600.0, 6e3, 60e3, 600e3, 6e6, 60e6), 0.9, 2, "resistance", _ohms),
    "continuity": Function("ohm", (600.0,), 0.9, 2, "continuity with a tone", _continuity),
    "amps": Function("A", (6.0, 60.0), 1.0, 3, "amps in line, 10 A fuse", _amps),
    "clamp": Function("A", (60.0, 600.0), 2.0, 5, "amps by clamp", _clamp),
    "diode": Function("V", (6.0,), 1.0, 2, "diode test", _diode),
    "volts-ac": Function("V", (0.6, 6.0, 60.0, 600.0), 1.0, 3, "volts AC, for ripple", _volts_ac),
}
"""Functions of the meter. Accuracies lie in the range of handheld meters' data; common practice."""

SAID = {"volts ac": "volts-ac", "ac volts": "volts-ac", "volts dc": "volts"}
"""What functions are called as well."""
