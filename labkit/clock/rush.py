"""A rush of current after a switch: followed once, gone through again whenever it comes again."""

from __future__ import annotations

import math
from collections.abc import Mapping

from labkit.clock.bodies import Flow, ProtectionBody, WindingBody
from labkit.clock.chronicle import Moment, thinned
from labkit.clock.melting import Heat
from labkit.clock.world import World

# Our choices; what they cost is measured against rushes all followed anew (test_rush.py).
_ALIKE = 0.02  # of its greatest current, within which what it ends in is as it was
_WARMER = 15.0  # of a winding, by which its rush is another: some 5 % less at first [K]
_NEAR = 0.5  # of what opens a fuse, from which warmth of the way there counts: it is followed anew
_DRAWN = 12  # moments of it, where it comes again


class Rush:
    """What flowed in a rush of current, step by step, and how it stood at each of them."""

    def __init__(self) -> None:
        self.seconds = 0.0
        self._steps: list[tuple[float, Mapping[str, Flow]]] = []
        self._moments: list[Moment] = []
        self._peaks: dict[str, float] = {}
        self._windings: dict[str, float] = {}
        self._mean: dict[str, Flow] = {}

    def begin(self, world: World, moment: Moment) -> None:
        """Keep how it stands at its first instant."""
        self._windings = {body.id: body.celsius for body in world.of(WindingBody)}
        self._moments.append(moment._replace(seconds=0.0))

    def add(self, h: float, flows: Mapping[str, Flow], moment: Moment) -> None:
        """Keep a step of it [s] and the moment at its end."""
        self.seconds += h
        self._steps.append((h, flows))
        self._moments.append(moment._replace(seconds=self.seconds))

    def end(self) -> None:
        """Sum it up."""
        self._moments = thinned(self._moments, _DRAWN)
        for id in self._steps[-1][1]:
            here = [(h / self.seconds, flows[id]) for h, flows in self._steps]
            self._mean[id] = Flow(
                sum(share * flow.amps for share, flow in here),
                sum(share * flow.squared for share, flow in here),
                sum(share * flow.watts for share, flow in here),
            )
            self._peaks[id] = max(flow.squared for _, flow in here)

    def moments(self, now: Moment) -> list[Moment]:
        """Return moments of it, seconds since it began, so that they lead to what stands now."""
        last = self._moments[-1]
        return [
            m._replace(
                volts=_shifted(m.volts, last.volts, now.volts),
                amps=_shifted(m.amps, last.amps, now.amps),
                celsius=now.celsius,
                charge=now.charge,
                litres=now.litres,
            )
            for m in self._moments
        ]

    def again(self, world: World, now: Mapping[str, Flow]) -> dict[str, Flow] | None:
        """Return its mean flows as it comes this time; None where it is another.

        Parameters
        ----------
        world : World
        now : mapping of str to Flow
            What flows with everything quick at rest.
        """
        last, found = self._steps[-1][1], {}
        for body in world.of(WindingBody):
            if abs(body.celsius - self._windings[body.id]) > _WARMER:
                return None
        for id, peak in self._peaks.items():
            if abs(now[id].amps - last[id].amps) > _ALIKE * math.sqrt(peak):
                return None
            mean, here, then = self._mean[id], now[id], last[id]
            found[id] = Flow(
                mean.amps + here.amps - then.amps,
                max(mean.squared + here.squared - then.squared, 0.0),
                max(mean.watts + here.watts - then.watts, 0.0),
            )
        return found

    def heats(self, world: World, now: Mapping[str, Flow]) -> dict[str, Heat] | None:
        """Heat in the elements of fuses at its end; None where one comes near to opening."""
        found = {fuse.id: self._heat(fuse, now[fuse.id]) for fuse in world.of(ProtectionBody)}
        return None if None in found.values() else found  # type: ignore[return-value]

    def _heat(self, fuse: ProtectionBody, now: Flow) -> Heat | None:
        heat, melting, ratio = fuse.heat, fuse.melting, fuse.rated**2
        more = now.squared - self._steps[-1][1][fuse.id].squared
        if self._peaks[fuse.id] + more < ratio:  # it carries that for good
            squared = max(self._mean[fuse.id].squared + more, 0.0) / ratio
            return melting.after(heat, squared, self.seconds, fuse.sample)
        for h, flows in self._steps:
            squared = max(flows[fuse.id].squared + more, 0.0) / ratio
            heat = melting.after(heat, squared, h, fuse.sample)
            if sum(heat) >= _NEAR * melting.limit(fuse.ambient):
                return None
        return heat


def _shifted(
    row: tuple[float | None, ...], then: tuple[float | None, ...], now: tuple[float | None, ...]
) -> tuple[float | None, ...]:
    """Return numbers that led to others then, as they lead to those of now."""
    return tuple(
        value if value is None or a is None or b is None else value + b - a
        for value, a, b in zip(row, then, now, strict=True)
    )
