"""Symbols of gauges, senders and shunts, of push buttons and cut-outs, and of metal in the sea.

Shapes follow IEC 60617 where it has one (from memory); the fitting in the water is our own.
"""

# schemdraw annotates its classes only in part.
# mypy: disable-error-code="no-untyped-call, arg-type"

from __future__ import annotations

import math

from labkit.drawing.contacts import Contact, Symbol
from labkit.drawing.ink import segments
from labkit.drawing.seen import Seen

_R = 0.4
_NEEDLE = {0: 150.0, 1: 90.0, 2: 30.0}
"""Where the needle stands: low, at half, full. [degrees]"""


class Gauge(Symbol):
    """A circle with a needle."""

    def shape(self, seen: Seen) -> None:
        self.circle(_R, 0, _R)
        angle = math.radians(_NEEDLE[min(max(seen.glow, 0), 2)])
        x, y = 0.46 * math.cos(angle), 0.46 * math.sin(angle)
        self.line((_R, -0.2), (_R + x, -0.2 + y), lw=1.4)
        self.circle(_R, -0.2, 0.05, fill=True)


class GaugeCoil(Symbol):
    """The other way through a gauge: its second coil."""

    marks = (("G", _R, 0.0),)

    def shape(self, seen: Seen) -> None:
        self.circle(_R, 0, _R)


class Sender(Symbol):
    """A resistor that something moves."""

    width = 1.0

    def shape(self, seen: Seen) -> None:
        self.box(0, -0.18, 1.0, 0.18)
        self.line((0.2, -0.42), (0.8, 0.42), arrow="->", arrowwidth=0.14, arrowlength=0.16)


class Shunt(Symbol):
    """A resistor with two more terminals, for the wires to the meter."""

    width = 1.0

    def shape(self, seen: Seen) -> None:
        self.box(0, -0.18, 1.0, 0.18)
        for x in (0.18, 0.82):
            self.line((x, 0.18), (x, 0.36))
            self.circle(x, 0.42, 0.055)


class Button(Contact):
    """Pressed by a finger: the blade with a round head on it."""

    def fittings(self, seen: Seen) -> None:
        x, y = self.blade(0.5)
        top = 0.46
        self.line((x, y), (x, top), ls="2,2", lw=1.2)
        self.segments.append(segments.SegmentArc((x, top), 0.36, 0.24, theta1=0, theta2=180))
        self.line((x - 0.18, top), (x + 0.18, top), lw=1.4)


class ThermalSwitch(Contact):
    """A contact that heat opens: the mark of a bimetal on its blade."""

    def fittings(self, seen: Seen) -> None:
        x, y = self.blade(0.5)
        self.line((x, y), (x, 0.3), ls="2,2", lw=1.2)
        points = (
            (x - 0.18, 0.3),
            (x - 0.06, 0.3),
            (x - 0.06, 0.46),
            (x + 0.06, 0.46),
            (x + 0.06, 0.3),
            (x + 0.18, 0.3),
        )
        self.line(*points, lw=1.4)


class Fitting(Symbol):
    """A plate of metal, and the water it stands in."""

    width = 0.8

    def shape(self, seen: Seen) -> None:
        self.line((0, 0), (0.24, 0))
        self.line((0.24, -0.36), (0.24, 0.36), lw=3.4)
        for y in (-0.22, 0.0, 0.22):
            wave = (
                (0.36 + 0.44 * n / 16, y + 0.06 * math.sin(4 * math.pi * n / 16)) for n in range(17)
            )
            self.line(*wave, lw=1.2)
