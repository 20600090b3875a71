"""How each act at a circuit is done: what it changes, what it shows, what is dangerous in it."""

from __future__ import annotations

from typing import NamedTuple

from labkit.aboard import safety
from labkit.circuits.circuit import Circuit
from labkit.measuring import meter
from labkit.measuring.meter import Hazard, Reading
from labkit.measuring.senses import sensed
from labkit.parts import Part
from labkit.parts.filament import Lamp
from labkit.parts.laws import Linear
from labkit.parts.traits import LAMP_WORDS, LIGHT_EXPONENT, word_for
from labkit.solving.solver import measure, solve
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import CURRENT, QuantityError

JUMPER_FUSE = 10.0
"""Rating of the fuse in the jumper. [A]"""

_JUMPER = Linear.resistor(0.03)
_TEST_LAMP_WATTS = 21.0  # a load that shows whether a joint carries current


class Outcome(NamedTuple):
    """What an act showed, what was dangerous in it, and the places it needed reaching."""

    shows: str
    hazards: list[Hazard]
    places: list[str]


class Scene:
    """The circuit as it is now, and what the person at it has found out by hand.

    Each act is a method; it changes the circuit or nothing, and raises CircuitError if there is no
    such part, point or position.
    """

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.reading: Reading | None = None
        self.traced: set[str] = set()
        self.seen_open: set[str] = set()
        self.pulled: set[str] = set()

    def switch(self, id: str, to: str) -> Outcome:
        part = self.circuit.part(id)
        self.circuit = self.circuit.with_position(**{id: to})
        at_hand = part.kind not in ("float", "connector")
        return Outcome(to, [], [] if at_hand else [self._place(part)])

    def read(self, red: str, black: str, function: str) -> Outcome:
        red, black = self.circuit.point(red), self.circuit.point(black)
        self.reading = meter.read(self.circuit, red, black, function)
        self._blow(self.reading.opened)
        places = [red] if function == "clamp" else [red, black]
        return Outcome(self.reading.display, list(self.reading.hazards), places)

    def part(self, terminal: str) -> Outcome:
        terminal = self.circuit.point(terminal)
        hazards = safety.parting(self.circuit, terminal)
        self.circuit = self.circuit.with_parted(terminal)
        return Outcome("apart", hazards, [terminal])

    def join(self, terminal: str) -> Outcome:
        terminal = self.circuit.point(terminal)
        if terminal not in self.circuit.parted:
            parted = self.circuit.parted
            raise CircuitError([f"'{terminal}' is not apart; {did_you_mean(terminal, parted)}"])
        self.circuit = self.circuit.with_joined(terminal)
        return Outcome("joined", [], [terminal])

    def pull(self, id: str) -> Outcome:
        part = self._protection(id)
        hazards = safety.parting(self.circuit, f"{id}:1")
        state = self.circuit.state_of(id)
        blown = state.has("blown")
        whole, opened = ("set", "tripped") if part.kind == "breaker" else ("whole", "blown")
        looks = "missing" if state.has("missing") else opened if blown else whole
        fitted = state.find("wrong fuse")
        if fitted:
            looks += f", marked {fitted.amount}"
        if blown:
            self.seen_open.add(id)
        self.circuit = self.circuit.with_fault(f"{id} missing")
        self.pulled.add(id)
        return Outcome(looks, hazards, [f"{id}:1"])

    def fit(self, id: str, rating: str = "") -> Outcome:
        part = self._protection(id)
        kept = [f for f in self.circuit.faults if f.part == id]
        sound = self.circuit.without_faults(id)
        stay = [f for f in kept if f.mode in ("resistance", "open")]
        fitted = sound.with_fault(*stay) if stay else sound
        hazards: list[Hazard] = []
        if rating and part.kind == "fuse":
            try:
                CURRENT.parse(rating)
            except QuantityError as error:
                raise CircuitError([f"{id}: {error}"]) from None
            fitted = fitted.with_fault(f"{id} wrong fuse {rating}")
            hazards = safety.fuse_size(fitted, id)
        self.circuit = fitted
        self.pulled.discard(id)
        self.seen_open.discard(id)
        return Outcome(f"fitted {rating or part.rating}", hazards, [f"{id}:1"])

    def jumper(self, first: str, second: str) -> Outcome:
        first, second = self.circuit.point(first), self.circuit.point(second)
        base = self.circuit.without_bridge("jumper")
        hazards = safety.bypass(base, first, second)
        put = base.with_bridge("jumper", "jumper", first, second, _JUMPER, JUMPER_FUSE)
        if "jumper" in solve(put).opened:
            self.circuit = base
            return Outcome(
                "its fuse blew", [*hazards, safety.jumper_blew(JUMPER_FUSE)], [first, second]
            )
        self.circuit = put
        return Outcome("in place", hazards, [first, second])

    def test_lamp(self, first: str, second: str) -> Outcome:
        first, second = self.circuit.point(first), self.circuit.point(second)
        volts = self.circuit.system
        law = Lamp(0.0, voltage=volts, current=_TEST_LAMP_WATTS / volts)
        base = self.circuit.without_bridge("test lamp")
        self.circuit = base.with_bridge("test lamp", "test lamp", first, second, law)
        seen = measure(base, first, second, law).volts
        if seen is None:
            return Outcome("flickers", [], [first, second])
        light = (abs(seen) / volts) ** LIGHT_EXPONENT
        return Outcome(word_for(light, LAMP_WORDS), [], [first, second])

    def lift(self, what: str) -> Outcome:
        there = [b.id for b in self.circuit.bridges]
        if what not in there:
            raise CircuitError([f"there is no '{what}' in place; {did_you_mean(what, there)}"])
        self.circuit = self.circuit.without_bridge(what)
        return Outcome("taken away", [], [])

    def wiggle(self, id: str, look_at: str) -> Outcome:
        self._load(look_at)
        shaken = self.circuit.with_disturbed(id)
        still = sensed(self.circuit, solve(self.circuit))[look_at]
        moved = sensed(shaken, solve(shaken))[look_at]
        place = self._place(self.circuit.part(id))
        shows = f"{look_at} {moved}" if moved != still else f"{look_at} does not change"
        return Outcome(shows, [], [place])

    def look(self, id: str) -> Outcome:
        self._load(id)
        return Outcome(sensed(self.circuit, solve(self.circuit))[id], [], [])

    def trace(self, run: str) -> Outcome:
        names = [r.name for r in self.circuit.runs]
        if run not in names:
            raise CircuitError([f"no run '{run}'; {did_you_mean(run, names)}"])
        passes = self.circuit.runs[names.index(run)].passes
        self.traced.add(run)
        hidden = [p.part for p in passes if self.circuit.parts[p.part].hidden]
        labels = [self.circuit.parts[id].label or self.circuit.parts[id].kind for id in hidden]
        found = ", ".join(f"{id} ({label})" for id, label in zip(hidden, labels, strict=True))
        return Outcome(f"found {found}" if found else "as drawn", [], [p.first for p in passes])

    def repair(self, id: str) -> Outcome:
        part = self.circuit.part(id)
        self.circuit = self.circuit.without_faults(id)
        self.pulled.discard(id)
        self.seen_open.discard(id)
        return Outcome("mended", [], [self._place(part)])

    # -- what happens by itself --------------------------------------------------------------

    def _place(self, part: Part) -> str:
        """Where hands get at a part: its first terminal that anything is connected to."""
        met = (f"{part.id}:{terminal}" for terminal in part.terminals)
        return next(place for place in met if place in self.circuit.node_of)

    def _protection(self, id: str) -> Part:
        part = self.circuit.part(id)
        if part.kind not in ("fuse", "breaker"):
            kinds = [p.id for p in self.circuit.parts.values() if p.kind in ("fuse", "breaker")]
            raise CircuitError(
                [f"{id} is a {part.kind}; fuses and breakers are {', '.join(kinds)}"]
            )
        return part

    def _load(self, id: str) -> None:
        loads = sensed(self.circuit, solve(self.circuit))
        if id not in loads:
            raise CircuitError([f"'{id}' shows nothing of what it does; {did_you_mean(id, loads)}"])

    def settle(self) -> list[Hazard]:
        """Leave open what opened, and name what else is dangerous in the state reached."""
        point = solve(self.circuit)
        if "jumper" in point.opened:
            self.circuit = self.circuit.without_bridge("jumper")
            return [safety.jumper_blew(JUMPER_FUSE), *self.settle()]
        self._blow(point.opened)
        return safety.fuses(self.circuit, point.opened) + safety.hot_wires(self.circuit, point)

    def _blow(self, opened: tuple[str, ...]) -> None:
        known = {f.part for f in self.circuit.faults if f.mode == "blown"}
        new = [f"{id} blown" for id in opened if id not in known and id in self.circuit.parts]
        if new:
            self.circuit = self.circuit.with_fault(*new)
