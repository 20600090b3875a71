"""Starter solenoids: two windings that pull one plunger, and the contact it closes."""

from __future__ import annotations

from typing import ClassVar

from labkit.parts.base import Branch, Model, Ohms, PartState, Pull, extras
from labkit.parts.laws import Linear
from labkit.parts.modes import LEAK_MODE, OPEN_MODE, RESISTANCE_MODE, SHORT_MODE, Mode, modes_of
from labkit.parts.relays import DEAD_CONTACT, LEAST_COIL, Relay
from labkit.text.quantities import show


class Solenoid(Relay):
    """Starter solenoid: pull-in winding 50-45, hold-in winding 50-31, contact 30-45.

    The pull-in winding ends at the motor, so that it needs the motor's brushes to pull, and is
    shorted out as the contact closes; both have as many turns. Terminals of DIN 72552: 30 from the
    battery, 50 control, 45 to the motor, 31 negative. `coil` is the hold-in winding, `pull` the
    pull-in one, `resistance` the contact's, `pull_in` the voltage at which it moves with both
    windings in, `drop_out` that at which the hold-in winding alone lets go.

    Published for truck starters, at 10 V: both windings 69 to 97 A, hold-in 13 to 19 A, which is
    0.53 to 0.77 ohm and 0.10 to 0.16 ohm (TM 5-2420-230-24-2, p. 13-33). The defaults are a small
    diesel's: common practice, no source.
    """

    kind: ClassVar[str] = "solenoid"
    terminals: ClassVar[tuple[str, ...]] = ("50", "31", "45", "30")
    default_resistance: ClassVar[float] = 0.3e-3  # common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode(
            "pull-in open",
            "pull-in winding open",
            "open in its pull-in winding",
            0.7,
            family="relay",
        ),
        Mode(
            "hold-in open",
            "hold-in winding open",
            "open in its hold-in winding",
            0.7,
            family="relay",
        ),
        DEAD_CONTACT,
        RESISTANCE_MODE._replace(says="burnt on its contact", weight=2.5),
        Mode("welded", "stuck on", "welded shut", 0.5, family="welded contact"),
        OPEN_MODE._replace(says="open on its contact", weight=0.3),
        SHORT_MODE._replace(says="shorted across its contact", weight=0.1),
        LEAK_MODE._replace(weight=0.1),
    )
    coil: Ohms = 1.2
    pull: Ohms = 0.32

    @property
    def rating(self) -> str:
        return f"{show(self.pull, 'ohm')} / {show(self.coil, 'ohm')}"

    def ways(self) -> tuple[tuple[str, str], ...]:
        return (("50", "31"), ("50", "45"), ("30", "45"))

    def uses(self) -> tuple[tuple[str, str], ...]:
        return self.ways()[:2]

    def made(self, position: str) -> tuple[tuple[str, str], ...]:
        return self.ways() if position == "pulled in" else self.uses()

    def roles(self, way: tuple[str, str]) -> tuple[str, ...]:
        return (dict(zip(self.ways(), ("hold", "pull", "make"), strict=True))[way],)

    def thresholds(self, system: float) -> tuple[float, float]:
        """Pull-in and drop-out voltage: two thirds and 45 % of the system's. [V]

        Common practice, no source: with less a flat battery would not click.
        """
        pull_in = self.pull_in if self.pull_in is not None else 8 / 12 * system
        return pull_in, self.drop_out if self.drop_out is not None else min(pull_in, 0.45 * system)

    def problems(self, system: float) -> list[str]:
        if self.pull < LEAST_COIL:
            return [
                f'pull: found "{show(self.pull, "ohm")}"; write its resistance, such as "0.3 ohm"'
            ]
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        branches = []
        if not state.has("hold-in open"):
            branches.append(Branch("hold", "50", "31", Linear.resistor(self.coil)))
        if not state.has("pull-in open"):
            branches.append(Branch("pull", "50", "45", Linear.resistor(self.pull)))
        dead = state.has("dead contact", "open")
        if not dead:
            branches.append(Branch("make", "30", "45", Linear.resistor(self.series(state))))
        device = None
        if not state.has("welded"):
            pull_in, drop_out = self.thresholds(state.system)
            device = Pull(
                "hold",
                () if dead else ("make",),
                (),
                pull_in,
                drop_out,
                beside="pull",
                share=self.coil / self.pull,
                sound=1 / self.coil,
            )
        return Model((*branches, *extras(self, state)), device)
