"""What gives a battery its charge from an engine, from the shore, or from another battery."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from labkit.parts.base import (
    Amps,
    Branch,
    Celsius,
    CutOut,
    Fraction,
    Model,
    PartState,
    Pull,
    Seconds,
    Volts,
    extras,
)
from labkit.parts.charging_laws import GivenOn, OneWay, PowerIn, Sensed
from labkit.parts.laws import Law, Linear, Value
from labkit.parts.modes import LEAK_MODE, OPEN_MODE, RESISTANCE_MODE, Effect, Mode, modes_of
from labkit.parts.sources import Supply
from labkit.parts.traits import Look, Now, Scale, Scatter
from labkit.text.quantities import FRACTION

_SENSE = 10e3  # resistance of a sense input [ohm]; common practice, no source
_SINE = 2.828  # peak to peak over root mean square

WORKING: Scale = (
    Look(0.02, "is quiet"),
    Look(0.6, "hums"),
    Look(float("inf"), "whines and works hard"),
)
"""What a charging source sounds like, by its share of what it can give. Common practice."""


class Charging(Supply):
    """A source behind rectifiers: it never takes current back. `limit` is what it can give."""

    scatter: ClassVar[Scatter] = Scatter()
    signs: ClassVar[tuple[Scale, ...]] = (WORKING,)
    states: ClassVar[tuple[str, str, str]] = ("", "", "")
    voltage: Volts | None = None
    limit: Amps

    def sign(self, now: Now) -> tuple[Value, Value]:
        amps = now.xp.where(now.amps != now.amps, 0.0, now.amps)
        return 0, now.xp.maximum(amps, 0.0) / self.limit

    def passage(self, way: str) -> tuple[str, str] | None:
        """As of any part; without a word its output, else the terminal whose lead it is."""
        leads = {first: (first, second) for first, second in self.ways()[1:]}
        return super().passage(way) or leads.get(way) or (None if way else self.ways()[0])

    def counted(self) -> tuple[tuple[str, str], ...]:
        return self.ways()[:1]

    def roles(self, way: tuple[str, str]) -> tuple[str, ...]:
        return ("main", "reversed") if way == self.ways()[0] else super().roles(way)


class Alternator(Charging):
    """Alternator with its regulator: a voltage held, up to what its speed lets it give.

    `voltage` is the set point at 25 C, less 10 mV for each kelvin more (12 V; common practice,
    no source: published set points are 13.8 to 14.4 V), `limit` its rated output, of which it
    gives two fifths at idle (common practice, no source). With `sense` = "battery" the regulator
    looks at terminal S and lets the machine rise to 16 V, as it does when that wire is lost; with
    `exciter` = "lamp" it gives nothing until terminal 61 (DIN 72552) feeds its field, of 3.5 ohm
    (two service manuals: 2.5 to 3 and 3 to 6 ohm). With `field` = "DF" the field's own terminal can
    be measured at: the regulator stands between 61 and DF, the field between DF and the negative.
    Drawn with the regulator letting all through, as it does until the set point is near.

    Of its output 4.2 % is ripple, with one diode open 61 % of two thirds (six diodes on a current
    source, computed; published: about a third is lost).
    """

    kind: ClassVar[str] = "alternator"
    example: ClassVar[dict[str, str]] = {"limit": "60 A", "position": "cruise"}
    terminals: ClassVar[tuple[str, ...]] = ("-", "+", "61", "S", "DF")
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode(
            "no field",
            "no field",
            "without field: its brushes or its rotor are open",
            1.5,
            family="charging",
        ),
        Mode("slipping", "belt slips", "driven by a belt that slips", 2.0, family="charging"),
        Mode("diode open", "one diode open", "open in one of its diodes", 0.7, family="charging"),
        Mode(
            "high set point",
            "regulated too high",
            "regulated too high",
            0.7,
            FRACTION,
            ("12 %", "6 %"),
            most=0.5,
            family="charging",
        ),
        OPEN_MODE._replace(says="dead", weight=0.5),
        RESISTANCE_MODE._replace(says="loose at its output stud", weight=2.0),
        LEAK_MODE._replace(weight=0.05),
    )
    states: ClassVar[tuple[str, str, str]] = ("not excited", "excited", "")
    choices: ClassVar[tuple[str, ...]] = ("cruise", "idle", "stopped")
    whole: ClassVar[str] = "its belt is tight"
    inside: ClassVar[tuple[str, ...]] = ("slipping",)
    position: Literal["cruise", "idle", "stopped"] = "stopped"
    sense: Literal["machine", "battery"] = "machine"
    exciter: Literal["own", "lamp"] = "own"
    field: Literal["inside", "DF"] = "inside"
    temperature: Celsius = 25.0

    def ways(self) -> tuple[tuple[str, str], ...]:
        field = (("DF", "-"),) if self.field == "DF" else ()
        return (("-", "+"), ("61", "-"), ("S", "-"), *field)

    def problems(self, system: float) -> list[str]:
        if self.field == "DF" and self.exciter != "lamp":
            return ['field: found "DF" on a machine that excites itself; write exciter = "lamp"']
        return super().problems(system)

    def start_position(self) -> str:
        return self.position

    def off(self) -> str:
        return "stopped"

    def can_give(self, state: PartState) -> float:
        """Most it gives at its speed and with its faults; 0 where it stands still. [A]"""
        share = SPEEDS[state.position or self.position]
        share *= _GRIP if state.has("slipping") else 1.0
        return self.limit * share * (_TWO_OF_THREE if state.has("diode open") else 1.0)

    def set_point(self, state: PartState) -> float:
        """Voltage that its regulator wants. [V]"""
        high = 1.0 + float(state.amount("high set point"))
        cooler = _PER_KELVIN * (25.0 - self.temperature) * state.system / 12.0
        return (self.volts(state.system) + cooler) * high

    def ripple_volts(self, state: PartState, amps: Value) -> Value:
        share = _RIPPLE_ONE_OPEN if state.has("diode open") else _RIPPLE
        return _SINE * share * self.ripple_ohms * abs(amps)

    def model(self, state: PartState) -> Model:
        branches: list[Branch] = []
        dead = state.has("no field")
        branches += self._field(dead)
        if self.sense == "battery":
            branches.append(Branch("sense", "S", "-", Linear.resistor(_SENSE)))
        device = None
        amps = self.can_give(state)
        if amps and not dead:
            main = self.path(state, self._law(state, amps))
            branches += main
            if self.exciter == "lamp":
                emf = self.set_point(state)
                trio = OneWay(conductance=_TRIO, emf=emf, amps=2 * emf / _FIELD)
                branches.append(Branch("trio", "-", "61", trio))
                made = (*(branch.role for branch in main), "trio")
                device = Pull(branches[0].role, made, (), _EXCITED, _EXCITED / 2)
        return Model((*branches, *extras(self, state)), device)

    def _field(self, dead: bool) -> list[Branch]:
        """The field that a lamp excites, and before it the regulator where DF is brought out."""
        if self.exciter != "lamp":
            return []
        if self.field == "inside":
            return [] if dead else [Branch("61--", "61", "-", Linear.resistor(_FIELD))]
        regulator = Branch("regulator", "61", "DF", Linear.resistor(_REGULATOR))
        if dead:
            return [regulator]
        return [Branch("DF--", "DF", "-", Linear.resistor(_FIELD - _REGULATOR)), regulator]

    def _law(self, state: PartState, amps: float) -> Law:
        ohms, scale = self.series(state), state.system / 12.0
        if self.sense == "machine":
            return OneWay(conductance=1 / ohms, emf=self.set_point(state), amps=amps)
        wanted = self.set_point(state)
        return Sensed(
            conductance=1 / ohms,
            emf=wanted,
            amps=amps,
            target=wanted,
            at_target=wanted,
            gain=_GAIN,
            most=max(_MOST * scale, wanted),
        )

    def roles(self, way: tuple[str, str]) -> tuple[str, ...]:
        roles = {"S": ("sense",), "61": ("61--", "regulator")}
        return roles.get(way[0]) or super().roles(way)


SPEEDS = {"cruise": 1.0, "idle": 0.4, "stopped": 0.0}
"""Share of its rated output that an alternator can give. Common practice, no source."""

_GRIP = 0.35  # of its output left where the belt slips; common practice, no source
_TWO_OF_THREE = 0.67
_RIPPLE, _RIPPLE_ONE_OPEN = 0.042, 0.61  # root mean square, of what it gives
_PER_KELVIN = 0.010  # [V/K]
_MOST = 16.0  # the machine's own, of 12 V [V]; common practice, no source
_GAIN = 50.0  # a volt lost on the way lowers what is sensed by 20 mV; chosen
_FIELD = 3.5  # [ohm]
_REGULATOR = 0.2  # of it, its own transistor when it lets all through; common practice, no source
_TRIO = 10.0  # of the diodes that feed the field [S]; chosen
_EXCITED = 0.3  # at terminal 61 [V]; common practice, no source


class Charger(Charging):
    """Shore charger, its DC side alone: all it can give, then `voltage`, later `float`.

    It holds `voltage` for the time `absorption`, counted from when it first gives less than it
    can, then floats until it has to give all it can again. Its mains side is for licensed hands.
    """

    kind: ClassVar[str] = "charger"
    example: ClassVar[dict[str, str]] = {"limit": "25 A"}
    default_resistance: ClassVar[float] = 10e-3  # with its own leads; common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode("stuck in float", "stuck in float", "stuck in float", 0.7, family="charging"),
        Mode(
            "output fuse",
            "output fuse blown",
            "open in its own output fuse",
            1.0,
            effect=Effect.OPENS,
        ),
        OPEN_MODE._replace(says="dead", weight=1.0),
        RESISTANCE_MODE,
        LEAK_MODE._replace(weight=0.05),
    )
    usual: ClassVar[float] = 14.4
    choices: ClassVar[tuple[str, ...]] = ("on", "off")
    whole: ClassVar[str] = "its output fuse is whole"
    inside: ClassVar[tuple[str, ...]] = ("output fuse",)
    position: Literal["on", "off"] = "on"
    float_: Volts | None = Field(None, alias="float")
    absorption: Seconds = 2 * 3600.0
    stage: Literal["absorption", "float"] = "absorption"

    def start_position(self) -> str:
        return self.position

    def floating(self, state: PartState) -> bool:
        """Whether it floats: by its fault, by what it remembers, or as the file has it."""
        begins = 1.0 if self.stage == "float" else 0.0
        return state.has("stuck in float") or bool(state.memory.get("floats", begins))

    def holds(self, state: PartState) -> float:
        """Voltage that it holds now. [V]"""
        if not self.floating(state):
            return self.volts(state.system)
        return self.float_ if self.float_ is not None else _FLOAT * state.system / 12.0

    def model(self, state: PartState) -> Model:
        if (state.position or self.position) == "off":
            return Model(extras(self, state))
        law = OneWay(conductance=1 / self.series(state), emf=self.holds(state), amps=self.limit)
        return Model((*self.path(state, law), *extras(self, state)))


_FLOAT = 13.5  # of 12 V [V]; common practice, no source


class Converter(Charging):
    """DC-DC charger: constant power in at IN, a voltage held out at +, on one common negative.

    It gives `voltage` up to `limit`, takes that over `efficiency` and half a watt, stops below
    `cut_out` at its input and starts again above `restart`, where an alternator must be running.
    """

    kind: ClassVar[str] = "converter"
    example: ClassVar[dict[str, str]] = {"limit": "30 A"}
    terminals: ClassVar[tuple[str, ...]] = ("-", "+", "IN")
    default_resistance: ClassVar[float] = 10e-3  # with its own leads; common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="dead"),
        RESISTANCE_MODE._replace(says="loose at its output", weight=1.0),
        LEAK_MODE._replace(weight=0.05),
    )
    states: ClassVar[tuple[str, str, str]] = ("on", "off", "")
    usual: ClassVar[float] = 14.4
    efficiency: Fraction = 0.9
    cut_out: Volts | None = None
    restart: Volts | None = None

    def ways(self) -> tuple[tuple[str, str], ...]:
        return (("-", "+"), ("IN", "-"))

    def uses(self) -> tuple[tuple[str, str], ...]:
        return self.ways()[1:]

    def thresholds(self, system: float) -> tuple[float, float]:
        """Input voltages below which it stops and above which it starts. [V]"""
        low = self.cut_out if self.cut_out is not None else _STOPS * system / 12.0
        high = self.restart if self.restart is not None else max(_STARTS * system / 12.0, low)
        return low, high

    def problems(self, system: float) -> list[str]:
        low, high = self.thresholds(system)
        if high < low:
            return [f'restart: found "{high:g} V"; it is no lower than cut_out, {low:g} V']
        if not 0.3 <= self.efficiency <= 1:
            found = f"{self.efficiency * 100:g} %"
            return [f'efficiency: found "{found}"; it is between "30 %" and "100 %"']
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        emf, low_high = self.volts(state.system), self.thresholds(state.system)
        out = GivenOn(conductance=1 / self.series(state), emf=emf, amps=self.limit)
        main = self.path(state, out)
        if not main:
            return Model(extras(self, state))
        full = emf * self.limit / self.efficiency + _IDLE
        taken = PowerIn(
            power=_IDLE, floor=0.5 * low_high[0], efficiency=self.efficiency, idle=_IDLE, full=full
        )
        branches = (*main, Branch("IN--", "IN", "-", taken))
        device = CutOut("IN--", *low_high, also=("main",))
        return Model((*branches, *extras(self, state)), device)


_STOPS, _STARTS = 12.8, 13.2  # at the input, of 12 V [V]; common practice, no source
_IDLE = 0.5  # of a converter that feeds nothing [W]; common practice, no source
