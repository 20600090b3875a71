"""Symbols: schemdraw's where it has one, small elements of our own where it has not.

Shapes follow IEC 60617, or ANSI/IEEE 315 with ``style="north american"`` where the two differ
(both from memory). Every symbol is a two-terminal element, met from its start to its end.
A symbol shows the state it is given and knows nothing of faults.
"""

# schemdraw annotates its classes only in part.
# mypy: disable-error-code="no-untyped-call, arg-type"

from __future__ import annotations

import math
from collections.abc import Callable

from labkit.drawing import charging_symbols as charging
from labkit.drawing import instruments
from labkit.drawing.contacts import (
    HALF_COIL,
    Breaker,
    Changeover,
    Connector,
    Float,
    Marks,
    RestContact,
    Switch,
    Symbol,
    Way,
)
from labkit.drawing.ink import elements as elm
from labkit.drawing.ink import segments
from labkit.drawing.seen import Seen
from labkit.drawing.topology import Step

STYLES = ("iec", "north american")

_R = 0.4
"""Radius of a round symbol, in schemdraw's units."""
_THICK = 3.4


class Battery(Symbol):
    """Two cells, the long thin plate positive; met from - to +."""

    width = 0.5

    def shape(self, seen: Seen) -> None:
        for x in (0.0, 0.34):
            self.line((x, -0.2), (x, 0.2), lw=_THICK)
            self.line((x + 0.16, -0.42), (x + 0.16, 0.42))
        self.line((0.66, 0.3), (0.82, 0.3), lw=1.3)
        self.line((0.74, 0.22), (0.74, 0.38), lw=1.3)


class Supply(Symbol):
    """Charger or alternator: alternating current in, direct current out."""

    marks = (("~", 0.22, 0.2), ("=", 0.58, -0.2))

    def shape(self, seen: Seen) -> None:
        self.box(0, -_R, 2 * _R, _R)
        self.line((0, -_R), (2 * _R, _R))


class Cable(Symbol):
    """A length of wire that is a part of its own: drawn heavy between its ends."""

    width = 0.96

    def shape(self, seen: Seen) -> None:
        self.line((0.02, 0), (0.94, 0), lw=_THICK)
        for x in (0.0, 0.96):
            self.line((x, -0.11), (x, 0.11))


class Joint(Symbol):
    """Splice, lug or terminal."""

    width = 0.26

    def shape(self, seen: Seen) -> None:
        self.circle(0.13, 0, 0.13)


class Lamp(Symbol):
    """A circle with a cross, and rays when it is lit: few when dim, many when bright."""

    radius = 0.34
    width = 0.68

    def shape(self, seen: Seen) -> None:
        r, c = self.radius, self.radius / math.sqrt(2)
        self.circle(r, 0, r)
        for slope in (-1, 1):
            self.line((r - c, -slope * c), (r + c, slope * c))
        if seen.glow:
            self.rays({1: 4, 2: 6, 3: 10}[seen.glow], r, r + 0.08, r + 0.2)


class FilamentLamp(Lamp):
    """The North American lamp: a filament in a bulb."""

    def shape(self, seen: Seen) -> None:
        r = self.radius
        self.circle(r, 0, r)
        self.line((0, 0), (r - 0.12, 0))
        self.segments.append(segments.SegmentArc((r, 0), 0.24, 0.3, theta1=0, theta2=180))
        self.line((r + 0.12, 0), (2 * r, 0))
        if seen.glow:
            self.rays({1: 4, 2: 6, 3: 10}[seen.glow], r, r + 0.08, r + 0.2)


class Heater(Symbol):
    """A resistor divided across: it makes heat."""

    width = 1.0

    def shape(self, seen: Seen) -> None:
        self.box(0, -0.22, 1.0, 0.22)
        for n in (1, 2, 3):
            self.line((n * 0.25, -0.22), (n * 0.25, 0.22))


class Motor(Symbol):
    """A circle with M; an arrow around it tells that it turns."""

    marks = (("M", _R, 0.0),)

    def shape(self, seen: Seen) -> None:
        self.circle(_R, 0, _R)
        if seen.turning:
            self.segments.append(
                segments.SegmentArc(
                    (_R, 0),
                    0.98,
                    0.98,
                    theta1=50,
                    theta2=130,
                    arrow="cw" if seen.turning > 0 else "ccw",
                    arrowwidth=0.13,
                    arrowlength=0.14,
                    lw=1.4,
                )
            )


class Electronics(Symbol):
    """A box with its supply marked."""

    width = 1.0
    marks = (("+", 0.2, 0.0), ("−", 0.8, 0.0))

    def shape(self, seen: Seen) -> None:
        self.box(0, -0.42, 1.0, 0.42)
        for y in (0.26, 0.14):
            self.line((0.36, y), (0.64, y), lw=1.2)
        self.circle(0.5, -0.2, 0.08, fill=True if seen.glow else None)


class Diode(Symbol):
    """Anode at the start."""

    width = 0.5

    def shape(self, seen: Seen) -> None:
        self.segments.append(segments.SegmentPoly([(0, 0.26), (0.5, 0), (0, -0.26)]))
        self.line((0.5, -0.26), (0.5, 0.26))
        self.line((0, 0), (0.5, 0))


class Indicator(Diode):
    """A light-emitting diode, full when it is lit."""

    def shape(self, seen: Seen) -> None:
        super().shape(seen)
        for x in (0.2, 0.42):
            self.line(
                (x, 0.26), (x + 0.12, 0.45), lw=1.2, arrow="->", arrowwidth=0.1, arrowlength=0.1
            )
        if seen.glow:
            self.segments.append(segments.SegmentPoly([(0, 0.26), (0.5, 0), (0, -0.26)], fill=True))


class Coil(Symbol):
    """Coil of a relay."""

    width = 0.5

    def shape(self, seen: Seen) -> None:
        self.box(0, -HALF_COIL, 0.5, HALF_COIL)


class Ammeter(Symbol):
    """A panel meter: its letter stands in a circle."""

    marks = (("A", _R, 0.0),)

    def shape(self, seen: Seen) -> None:
        self.circle(_R, 0, _R)


class Voltmeter(Ammeter):
    """The same, for volts."""

    marks = (("V", _R, 0.0),)


class Jumper(Symbol):
    """A jumper wire with a clip at each end."""

    width = 0.9

    def shape(self, seen: Seen) -> None:
        self.line((0, 0), (0.9, 0), ls="5,3")
        for x, way in ((0.0, 1), (0.9, -1)):
            self.line((x, 0), (x + way * 0.14, 0.12), lw=1.4)
            self.line((x, 0), (x + way * 0.14, -0.12), lw=1.4)


class BlownFuse(Symbol):
    """A fuse whose wire is seen to be gone."""

    width = 1.0

    def shape(self, seen: Seen) -> None:
        self.box(0, -0.2, 1.0, 0.2)
        self.line((0, 0), (0.32, 0), (0.38, 0.1))
        self.line((0.62, -0.1), (0.68, 0), (1.0, 0))


class EmptyHolder(Symbol):
    """A fuse holder with nothing in it; a broken wire if the fuse that came out was blown."""

    width = 1.0

    def shape(self, seen: Seen) -> None:
        for left in (0.0, 0.8):
            self.line((left, -0.2), (left + 0.2, -0.2), ls="2,2", lw=1.2)
            self.line((left, 0.2), (left + 0.2, 0.2), ls="2,2", lw=1.2)
        for x in (0.0, 1.0):
            self.line((x, -0.2), (x, 0.2))
        if "blown" in seen.state:
            self.line((0.26, 0), (0.36, 0), (0.42, 0.1))
            self.line((0.58, -0.1), (0.64, 0), (0.74, 0))


class BlownUSFuse(Symbol):
    """The North American fuse, its link gone in the middle."""

    width = 1.0

    def shape(self, seen: Seen) -> None:
        for x in (0.08, 0.92):
            self.circle(x, 0, 0.08)
        for start, end in ((0.0, 0.36), (0.64, 1.0)):
            points = []
            for n in range(13):
                t = start + (end - start) * n / 12
                points.append((0.16 + 0.68 * t, 0.22 * math.sin(2 * math.pi * t)))
            self.line(*points)


class USFuse(BlownUSFuse):
    """The North American fuse: a wave between two contacts."""

    def shape(self, seen: Seen) -> None:
        for x in (0.08, 0.92):
            self.circle(x, 0, 0.08)
        self.line(
            *((0.16 + 0.68 * n / 24, 0.22 * math.sin(2 * math.pi * n / 24)) for n in range(25))
        )


class Box(Symbol):
    """What has no symbol of its own: a box with the class letter of its designation."""

    def __init__(self, seen: Seen, letter: str) -> None:
        self.marks = ((letter, _R, 0.0),)
        super().__init__(seen)

    def shape(self, seen: Seen) -> None:
        self.box(0, -_R, 2 * _R, _R)


Maker = Callable[[Step, Seen, bool], elm.Element2Term]
"""Makes a symbol for a step that looks so; true for the North American style."""


def _always(made: type[Symbol]) -> Maker:
    return lambda step, seen, ansi: made(seen)


def _fuse(step: Step, seen: Seen, ansi: bool) -> elm.Element2Term:
    if seen.state.startswith("missing"):
        return EmptyHolder(seen)
    if seen.state == "blown":
        return BlownUSFuse(seen) if ansi else BlownFuse(seen)
    return USFuse(seen) if ansi else elm.FuseIEEE()


def _breaker(step: Step, seen: Seen, ansi: bool) -> elm.Element2Term:
    return elm.Breaker() if ansi and not seen.state else Breaker(seen)


def _resistor(step: Step, seen: Seen, ansi: bool) -> elm.Element2Term:
    return elm.ResistorIEEE() if ansi else elm.ResistorIEC()


def _lamp(step: Step, seen: Seen, ansi: bool) -> elm.Element2Term:
    return FilamentLamp(seen) if ansi else Lamp(seen)


def _relay(step: Step, seen: Seen, ansi: bool) -> elm.Element2Term:
    if step.is_load:
        return Coil(seen)
    return RestContact(seen) if "87a" in (step.enter, step.leave) else Way(seen)


def _gauge(step: Step, seen: Seen, ansi: bool) -> elm.Element2Term:
    made = instruments.Gauge if "S" in (step.enter, step.leave) else instruments.GaugeCoil
    return made(seen)


def _changeover(step: Step, seen: Seen, ansi: bool) -> elm.Element2Term:
    return Changeover(seen) if step.throw else Way(seen)


SYMBOLS: dict[str, Maker] = {
    "battery": _always(Battery), "supply": _always(Supply), "cable": _always(Cable),
    "fuse": _fuse, "breaker": _breaker, "switch": _always(Switch), "float": _always(Float),
    "changeover": _changeover, "connector": _always(Connector), "joint": _always(Joint),
    "lamp": _lamp, "heater": _always(Heater), "resistor": _resistor, "motor": _always(Motor),
    "electronics": _always(Electronics), "diode": _always(Diode), "relay": _relay,
    "solenoid": _relay, "led lamp": _lamp,
    "alternator": charging.alternator, "charger": _always(Supply),
    "converter": _always(charging.Converter), "solar panel": _always(charging.Panel),
    "solar controller": charging.controller, "combiner": charging.combiner,
    "isolator": _always(Diode),
    "indicator": _always(Indicator), "ammeter": _always(Ammeter), "voltmeter": _always(Voltmeter),
    "gauge": _gauge, "sender": _always(instruments.Sender), "shunt": _always(instruments.Shunt),
    "shunt ammeter": _always(Ammeter), "push button": _always(instruments.Button),
    "thermal switch": _always(instruments.ThermalSwitch), "fitting": _always(instruments.Fitting),
    "jumper": _always(Jumper), "test lamp": _always(Lamp),
}  # fmt: skip  # rows that a reader compares
"""Kind of part, or of what is clipped on, to its symbol; a kind without one is a box."""


def half_length(step: Step, style: str) -> float:
    """Half the length of a step's symbol along its wire, in schemdraw's units."""
    made = symbol(step, Seen(), style)
    return float(getattr(made, "width", 1.0)) / 2


def symbol(step: Step, seen: Seen, style: str) -> elm.Element2Term:
    """Return the element for a step in this state."""
    made = SYMBOLS.get(step.kind)
    return made(step, seen, style == "north american") if made else Box(seen, step.id[:1])


def marks(element: elm.Element2Term) -> Marks:
    """What is written upright in a symbol, and where."""
    found: Marks = getattr(element, "marks", ())
    return found
