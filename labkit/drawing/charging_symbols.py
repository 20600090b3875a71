"""Symbols of what charges batteries and shares the charge out, in the manner of IEC 60617.

The marks in boxes (a cell under the sun, U for what only looks at a voltage) are the house's own
where the standard's were not at hand.
"""

# schemdraw annotates its classes only in part.
# mypy: disable-error-code="no-untyped-call, arg-type"

from __future__ import annotations

from labkit.drawing.contacts import Symbol, Way
from labkit.drawing.seen import Seen
from labkit.drawing.topology import Step

_R = 0.4


class Alternator(Symbol):
    """A rotating machine that gives: G in a circle."""

    marks = (("G", _R, 0.0),)

    def shape(self, seen: Seen) -> None:
        self.circle(_R, 0, _R)


class Field(Symbol):
    """An alternator's field winding, at terminal 61 or DF."""

    width = 1.0

    def shape(self, seen: Seen) -> None:
        self.box(0, -0.18, 1.0, 0.18)
        self.line((0.25, -0.18), (0.75, 0.18))


class Looks(Symbol):
    """An input that looks at a voltage and takes next to nothing."""

    marks = (("U", _R, 0.0),)

    def shape(self, seen: Seen) -> None:
        self.box(0, -_R, 2 * _R, _R)


class Converter(Symbol):
    """Direct current in, direct current out."""

    marks = (("=", 0.22, 0.2), ("=", 0.58, -0.2))

    def shape(self, seen: Seen) -> None:
        self.box(0, -_R, 2 * _R, _R)
        self.line((0, -_R), (2 * _R, _R))


class Panel(Symbol):
    """A cell in a frame, and light that falls on it."""

    width = 1.0

    def shape(self, seen: Seen) -> None:
        self.box(0, -0.42, 1.0, 0.42)
        self.line((0, 0), (0.42, 0))
        self.line((0.58, 0), (1.0, 0))
        self.line((0.42, -0.12), (0.42, 0.12), lw=3.4)
        self.line((0.58, -0.26), (0.58, 0.26))
        for x in (0.14, 0.3):
            self.line((x - 0.06, 0.36), (x + 0.06, 0.2), lw=1.2)
            self.line((x + 0.06, 0.2), (x, 0.22), lw=1.2)
            self.line((x + 0.06, 0.2), (x + 0.05, 0.27), lw=1.2)


class Controller(Symbol):
    """What joins panel and battery, less and less often: a diode and a contact in a box."""

    width = 1.0

    def shape(self, seen: Seen) -> None:
        self.box(0, -0.42, 1.0, 0.42)
        self.line((0, 0), (0.2, 0))
        self.line((0.2, 0.16), (0.44, 0), (0.2, -0.16), (0.2, 0.16))
        self.line((0.44, -0.16), (0.44, 0.16))
        self.line((0.44, 0), (0.6, 0))
        self.line((0.6, 0), (0.82, 0.16))
        self.line((0.84, 0), (1.0, 0))


def alternator(step: Step, seen: Seen, ansi: bool) -> Symbol:
    """The machine, its field or its sense input, by the way that is met."""
    ways = {"61": Field, "DF": Field, "S": Looks}
    return next((ways[t](seen) for t in (step.enter, step.leave) if t in ways), Alternator(seen))


def controller(step: Step, seen: Seen, ansi: bool) -> Symbol:
    """A solar controller, or its own supply."""
    return Looks(seen) if "-" in (step.enter, step.leave) else Controller(seen)


def combiner(step: Step, seen: Seen, ansi: bool) -> Symbol:
    """A combiner's contact, or one of its two eyes."""
    return Looks(seen) if step.is_load else Way(seen)
