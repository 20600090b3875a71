"""What every symbol of ours has in common, and the contacts of switches, breakers and relays.

Shapes follow IEC 60617 (from memory). The blade of a contact is hinged where the current enters.
"""

# schemdraw annotates its classes only in part.
# mypy: disable-error-code="no-untyped-call, arg-type"

from __future__ import annotations

import math
from typing import Any

from labkit.drawing.content import THROW
from labkit.drawing.ink import elements as elm
from labkit.drawing.ink import segments
from labkit.drawing.seen import Seen

UNIT = 36.0
"""Pixels to one of schemdraw's units."""

CLOSED = frozenset({"on", "closed", "joined", "pulled in", "made"})
"""States in which a contact is made."""
HALF_COIL = 0.44
"""Half the height of a relay's coil, in schemdraw's units."""
BLADE = {True: 0.03, False: 0.226}
"""Height of the middle of a contact's blade where it is made, and where not, in the same."""

Marks = tuple[tuple[str, float, float], ...]
"""Letters and where they stand in a symbol, in schemdraw's units."""

GAP = (math.nan, math.nan)
"""Lifts the pen in a path."""


class Symbol(elm.Element2Term):
    """A two-terminal element: leads to both ends of a body of a given width."""

    width = 0.8
    marks: Marks = ()
    """Written upright in it, at places of their own, whichever way it is turned."""

    def __init__(self, seen: Seen | None = None, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.segments.append(segments.Segment([(0, 0), GAP, (self.width, 0)]))
        self.shape(seen or Seen())

    def shape(self, seen: Seen) -> None:
        """Draw the body."""

    def line(self, *points: tuple[float, float], **style: Any) -> None:
        """Draw a line through points."""
        self.segments.append(segments.Segment(list(points), **style))

    def circle(self, x: float, y: float, radius: float, **style: Any) -> None:
        """Draw a circle."""
        self.segments.append(segments.SegmentCircle((x, y), radius, **style))

    def box(self, left: float, low: float, right: float, high: float, **style: Any) -> None:
        """Draw a rectangle."""
        corners = [(left, low), (left, high), (right, high), (right, low)]
        self.segments.append(segments.SegmentPoly(corners, **style))

    def rays(self, count: int, x: float, inner: float, outer: float) -> None:
        """Draw light above and below a lamp, no further along its wire than the lamp itself."""
        for n in range(count):
            angle = (
                math.radians(50 + n * 80 / (count // 2 - 1))
                if n < (count // 2)
                else math.radians(230 + (n - count // 2) * 80 / (count // 2 - 1))
            )
            c, s = math.cos(angle), math.sin(angle)
            self.line((x + inner * c, inner * s), (x + outer * c, outer * s), lw=1.4)


class Connector(Symbol):
    """Plug, on the left, and socket; drawn apart when it is parted."""

    width = 0.62

    def shape(self, seen: Seen) -> None:
        plug, socket = (0.24, 0.62) if seen.state == "parted" else (0.34, 0.54)
        self.segments.append(
            segments.SegmentPoly([(0, -0.08), (0, 0.08), (plug, 0.08), (plug, -0.08)], fill=True)
        )
        self.segments.append(
            segments.SegmentArc((socket, 0), 0.4, 0.4, theta1=90, theta2=270),
        )
        self.line((socket - 0.2, 0), (self.width, 0))


class Contact(Symbol):
    """A contact that is made or not; the blade is hinged at the start."""

    width = 0.9
    closed = False

    def shape(self, seen: Seen) -> None:
        self.closed = seen.state in CLOSED
        tip = (0.92, 0.06) if self.closed else (0.82, 0.44)
        self.line((0.06, 0), tip)
        self.circle(0.06, 0, 0.055, fill=True)
        if self.closed:
            self.circle(0.84, 0, 0.055, fill=True)
        else:
            self.circle(0.84, 0, 0.055)
        self.segments[0] = segments.Segment([(0, 0), GAP, (0.9, 0)])
        self.fittings(seen)

    def blade(self, along: float) -> tuple[float, float]:
        """A place on the blade, from hinge (0) to tip (1)."""
        x, y = (0.92, 0.06) if self.closed else (0.82, 0.44)
        return 0.06 + along * (x - 0.06), along * y

    def fittings(self, seen: Seen) -> None:
        """What tells this contact from a plain one."""


class Switch(Contact):
    """Operated by hand: a handle across the blade."""

    def fittings(self, seen: Seen) -> None:
        x, y = self.blade(0.5)
        top = 0.5
        self.line((x, y), (x, top), ls="2,2", lw=1.2)
        self.line((x - 0.1, top), (x + 0.1, top), lw=1.4)


class Float(Contact):
    """Operated by a float, drawn as a ball on the blade."""

    def fittings(self, seen: Seen) -> None:
        x, y = self.blade(0.5)
        self.line((x, y), (x, 0.34), ls="2,2", lw=1.2)
        self.circle(x, 0.45, 0.1, fill=True)


class Way(Contact):
    """One way of a changeover switch or one contact of a relay."""


class Changeover(Symbol):
    """Both ways of a changeover switch: the pole at the start, the third contact below the end."""

    width = 0.9

    def shape(self, seen: Seen) -> None:
        self.segments[0] = segments.Segment([(0, 0), GAP, (0.9, 0)])
        down = THROW / UNIT
        tips = {"both": ((0.9, 0.06), (0.88, 0.05 - down)), "made": ((0.9, 0.06),)}
        tips["other"] = ((0.88, 0.05 - down),)
        for tip in tips.get(seen.state, ((0.84, 0.04 - down / 2),)):
            self.line((0.06, 0), tip)
        self.circle(0.06, 0, 0.055, fill=True)
        for y, states in ((0.0, ("made", "both")), (-down, ("other", "both"))):
            self.circle(0.84, y, 0.055, fill=True if seen.state in states else None)


class Breaker(Contact):
    """Circuit breaker: a cross at the fixed contact."""

    def shape(self, seen: Seen) -> None:
        self.closed = not set(seen.state.split()) & {"open", "blown", "missing"}
        tip = (0.9, 0.0) if self.closed else (0.8, 0.44)
        self.line((0.06, 0), tip)
        self.segments[0] = segments.Segment([(0, 0), (0.06, 0), GAP, (0.84, 0), (0.9, 0)])
        for slope in (-1, 1):
            self.line((0.74, -0.1 * slope), (0.94, 0.1 * slope))
        self.circle(0.06, 0, 0.055, fill=True)


class RestContact(Contact):
    """Contact of a relay that is made at rest: the blade lies on the other side of its stop."""

    def shape(self, seen: Seen) -> None:
        self.closed = seen.state in CLOSED
        self.line((0.06, 0), (0.94, 0.2) if self.closed else (0.82, 0.44))
        self.line((0.84, 0), (0.84, 0.24))
        self.segments[0] = segments.Segment([(0, 0), (0.06, 0), GAP, (0.84, 0), (0.9, 0)])
        self.circle(0.06, 0, 0.055, fill=True)
