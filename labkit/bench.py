"""One person at one circuit: what they do, what they read, the minutes it takes, what is dangerous.

The only thing in labkit with a history. Widgets and notebooks talk to it, grading reads its log.
Every act goes through :meth:`Bench.act` under its own name, so a log can be played again.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from labkit import meter, safety
from labkit.circuit import Circuit
from labkit.laws import Lamp, Linear
from labkit.messages import CircuitError, did_you_mean
from labkit.meter import Hazard, Reading
from labkit.senses import LAMP_WORDS, LIGHT_EXPONENT, sensed, word_for
from labkit.solver import OperatingPoint, measure, solve

SCHEMA = 1
"""Version of the saved log."""

MINUTES = {
    "switch": 0.2, "read": 0.5, "part": 2.0, "join": 2.0, "pull": 0.5, "fit": 0.5, "jumper": 1.0,
    "test lamp": 1.0, "lift": 0.2, "wiggle": 0.5, "look": 0.5, "trace": 3.0, "repair": 10.0,
}  # fmt: skip
"""What each act takes, the way to it apart. [min] Common practice, no source."""

JUMPER_FUSE = 10.0
"""Rating of the fuse in the jumper. [A]"""

_JUMPER = Linear.resistor(0.03)
_TEST_LAMP_WATTS = 21.0  # a load that shows whether a joint carries current


@dataclass(frozen=True)
class Entry:
    """A line of the log: what was done, what it showed, what it took."""

    number: int
    action: str
    args: Mapping[str, str]
    shows: str
    minutes: float
    hazards: tuple[Hazard, ...] = ()
    reading: Reading | None = field(default=None, compare=False)

    def __str__(self) -> str:
        args = " ".join(self.args.values())
        return f"{self.number}. {self.action} {args}: {self.shows} ({self.minutes:.1f} min)"

    def as_json(self) -> dict[str, Any]:
        """Return the entry as plain data."""
        hazards = [{"kind": h.kind, "text": h.text} for h in self.hazards]
        return {
            "number": self.number, "action": self.action, "args": dict(self.args),
            "shows": self.shows, "minutes": round(self.minutes, 3), "hazards": hazards,
        }  # fmt: skip


class Bench:
    """A person with a meter, a test lamp and a fused jumper at a circuit.

    Parameters
    ----------
    circuit : Circuit
        With whatever is wrong with it.

    Attributes
    ----------
    log : list of Entry
    traced : set of str
        Names of the runs followed by eye and hand, where hidden parts have come to light.
    seen_open : set of str
        Fuses and breakers seen to be open.
    """

    def __init__(self, circuit: Circuit) -> None:
        self._circuit = circuit
        self._acts: dict[str, Callable[..., tuple[str, list[Hazard], list[str]]]] = {
            "switch": self._switch, "read": self._read, "part": self._part, "join": self._join,
            "pull": self._pull, "fit": self._fit, "jumper": self._jumper, "lift": self._lift,
            "test lamp": self._test_lamp, "wiggle": self._wiggle, "look": self._look,
            "trace": self._trace, "repair": self._repair,
        }  # fmt: skip
        self._reached: set[str] = set()
        self._reading: Reading | None = None
        self.log: list[Entry] = []
        self.traced: set[str] = set()
        self.seen_open: set[str] = set()
        self.pulled: set[str] = set()
        self._opened_now()

    def __repr__(self) -> str:
        return f"<Bench: {self._circuit.title!r}, {len(self.log)} acts, {self.minutes:.1f} min>"

    # -- what can be asked -------------------------------------------------------------------

    @property
    def circuit(self) -> Circuit:
        """The circuit as it really is, faults included: for grading, not for showing."""
        return self._circuit

    @property
    def drawn(self) -> Circuit:
        """The circuit as the person at it sees it: no faults, but switches, gaps and bridges."""
        return self._circuit.without_faults()

    @property
    def point(self) -> OperatingPoint:
        """What the circuit does now."""
        return solve(self._circuit)

    @property
    def minutes(self) -> float:
        """Minutes spent so far."""
        return sum(entry.minutes for entry in self.log)

    @property
    def hazards(self) -> list[Hazard]:
        """Everything dangerous that was done so far."""
        return [hazard for entry in self.log for hazard in entry.hazards]

    @property
    def reading(self) -> Reading | None:
        """The last reading of the meter."""
        return self._reading

    @property
    def readings(self) -> list[Reading]:
        """All readings so far."""
        return [entry.reading for entry in self.log if entry.reading is not None]

    # -- what can be done --------------------------------------------------------------------

    def act(self, action: str, **args: str) -> Entry:
        """Do something by its name, and log it.

        Raises
        ------
        CircuitError
            If there is no such act, part, point or position; nothing is logged then.
        """
        if action not in self._acts:
            raise CircuitError(
                [f"nothing aboard is done by '{action}'; {did_you_mean(action, MINUTES)}"]
            )
        before = self._circuit
        try:
            shows, hazards, places = self._acts[action](**args)
        except TypeError:
            raise CircuitError(
                [f"'{action}' is not done with {', '.join(args) or 'nothing'}"]
            ) from None
        minutes = MINUTES[action] + sum(self._reach(place) for place in places)
        hazards += self._opened_now() if self._circuit is not before else []
        reading = self._reading if action == "read" else None
        entry = Entry(len(self.log) + 1, action, args, shows, minutes, tuple(hazards), reading)
        self.log.append(entry)
        return entry

    def switch(self, id: str, to: str) -> Entry:
        """Move a switch, lift a float, part a connector: ``switch("S2", "on")``."""
        return self.act("switch", id=id, to=to)

    def read(self, red: str, black: str = "DC-", function: str = "volts") -> Reading:
        """Put the leads on two points and read the meter."""
        self.act("read", red=red, black=black, function=function)
        assert self._reading is not None
        return self._reading

    def part(self, terminal: str) -> Entry:
        """Take the connection at a terminal apart."""
        return self.act("part", terminal=terminal)

    def join(self, terminal: str) -> Entry:
        """Make a connection again."""
        return self.act("join", terminal=terminal)

    def pull(self, id: str) -> Entry:
        """Pull a fuse, and look at it."""
        return self.act("pull", id=id)

    def fit(self, id: str, rating: str = "") -> Entry:
        """Fit a fuse, of its own rating or another; set a breaker again."""
        return self.act("fit", id=id, **({"rating": rating} if rating else {}))

    def jumper(self, first: str, second: str) -> Entry:
        """Bridge two points with the fused jumper."""
        return self.act("jumper", first=first, second=second)

    def test_lamp(self, first: str, second: str) -> Entry:
        """Put the test lamp between two points: a load of its own."""
        return self.act("test lamp", first=first, second=second)

    def lift(self, what: str) -> Entry:
        """Take the jumper or the test lamp away."""
        return self.act("lift", what=what)

    def wiggle(self, id: str, look_at: str) -> Entry:
        """Wiggle a part while somebody watches a load."""
        return self.act("wiggle", id=id, look_at=look_at)

    def look(self, id: str) -> Entry:
        """Look and listen: what does a load do?"""
        return self.act("look", id=id)

    def trace(self, run: str) -> Entry:
        """Follow a run by eye and hand from end to end."""
        return self.act("trace", run=run)

    def repair(self, id: str) -> Entry:
        """Mend or replace a part."""
        return self.act("repair", id=id)

    # -- how each is done --------------------------------------------------------------------

    def _switch(self, id: str, to: str) -> tuple[str, list[Hazard], list[str]]:
        part = self._circuit.part(id)
        self._circuit = self._circuit.with_position(**{id: to})
        at_hand = part.kind not in ("float", "connector")
        return to, [], [] if at_hand else [f"{id}:{part.terminals[0]}"]

    def _read(self, red: str, black: str, function: str) -> tuple[str, list[Hazard], list[str]]:
        red, black = self._circuit.point(red), self._circuit.point(black)
        self._reading = meter.read(self._circuit, red, black, function)
        self._blow(self._reading.opened)
        places = [red] if function == "clamp" else [red, black]
        return self._reading.display, list(self._reading.hazards), places

    def _part(self, terminal: str) -> tuple[str, list[Hazard], list[str]]:
        hazards = safety.parting(self._circuit, terminal)
        self._circuit = self._circuit.with_parted(terminal)
        return "apart", hazards, [terminal]

    def _join(self, terminal: str) -> tuple[str, list[Hazard], list[str]]:
        if terminal not in self._circuit.parted:
            parted = self._circuit.parted
            raise CircuitError([f"'{terminal}' is not apart; {did_you_mean(terminal, parted)}"])
        self._circuit = self._circuit.with_joined(terminal)
        return "joined", [], [terminal]

    def _pull(self, id: str) -> tuple[str, list[Hazard], list[str]]:
        part = self._protection(id)
        hazards = safety.parting(self._circuit, f"{id}:1")
        state = self._circuit.state_of(id)
        blown = state.has("blown")
        whole, opened = ("set", "tripped") if part.kind == "breaker" else ("whole", "blown")
        looks = "missing" if state.has("missing") else opened if blown else whole
        fitted = state.find("wrong fuse")
        if fitted:
            looks += f", marked {fitted.amount}"
        if blown:
            self.seen_open.add(id)
        self._circuit = self._circuit.with_fault(f"{id} missing")
        self.pulled.add(id)
        return looks, hazards, [f"{id}:1"]

    def _fit(self, id: str, rating: str = "") -> tuple[str, list[Hazard], list[str]]:
        part = self._protection(id)
        kept = [f for f in self._circuit.faults if f.part == id]
        sound = self._circuit.without_faults(id)
        stay = [f for f in kept if f.mode in ("resistance", "open")]
        fitted = sound.with_fault(*stay) if stay else sound
        hazards: list[Hazard] = []
        if rating and part.kind == "fuse":
            fitted = fitted.with_fault(f"{id} wrong fuse {rating}")
            hazards = safety.fuse_size(fitted, id)
        self._circuit = fitted
        self.pulled.discard(id)
        self.seen_open.discard(id)
        return f"fitted {rating or part.rating}", hazards, [f"{id}:1"]

    def _jumper(self, first: str, second: str) -> tuple[str, list[Hazard], list[str]]:
        base = self._circuit.without_bridge("jumper")
        hazards = safety.bypass(base, first, second)
        put = base.with_bridge("jumper", "jumper", first, second, _JUMPER, JUMPER_FUSE)
        if "jumper" in solve(put).opened:
            self._circuit = base
            return "its fuse blew", [*hazards, safety.jumper_blew(JUMPER_FUSE)], [first, second]
        self._circuit = put
        return "in place", hazards, [first, second]

    def _test_lamp(self, first: str, second: str) -> tuple[str, list[Hazard], list[str]]:
        volts = self._circuit.system
        law = Lamp(0.0, voltage=volts, current=_TEST_LAMP_WATTS / volts)
        base = self._circuit.without_bridge("test lamp")
        self._circuit = base.with_bridge("test lamp", "test lamp", first, second, law)
        seen = measure(base, first, second, law).volts
        if seen is None:
            return "flickers", [], [first, second]
        light = (abs(seen) / volts) ** LIGHT_EXPONENT
        return word_for(light, LAMP_WORDS), [], [first, second]

    def _lift(self, what: str) -> tuple[str, list[Hazard], list[str]]:
        there = [b.id for b in self._circuit.bridges]
        if what not in there:
            raise CircuitError([f"there is no '{what}' in place; {did_you_mean(what, there)}"])
        self._circuit = self._circuit.without_bridge(what)
        return "taken away", [], []

    def _wiggle(self, id: str, look_at: str) -> tuple[str, list[Hazard], list[str]]:
        self._load(look_at)
        shaken = self._circuit.with_disturbed(id)
        still = sensed(self._circuit, solve(self._circuit))[look_at]
        moved = sensed(shaken, solve(shaken))[look_at]
        place = f"{id}:{self._circuit.part(id).terminals[0]}"
        shows = f"{look_at} {moved}" if moved != still else f"{look_at} does not change"
        return shows, [], [place]

    def _look(self, id: str) -> tuple[str, list[Hazard], list[str]]:
        self._load(id)
        return sensed(self._circuit, self.point)[id], [], []

    def _trace(self, run: str) -> tuple[str, list[Hazard], list[str]]:
        names = [r.name for r in self._circuit.runs]
        if run not in names:
            raise CircuitError([f"no run '{run}'; {did_you_mean(run, names)}"])
        passes = self._circuit.runs[names.index(run)].passes
        self.traced.add(run)
        hidden = [p.part for p in passes if self._circuit.parts[p.part].hidden]
        labels = [self._circuit.parts[id].label or self._circuit.parts[id].kind for id in hidden]
        found = ", ".join(f"{id} ({label})" for id, label in zip(hidden, labels, strict=True))
        return f"found {found}" if found else "as drawn", [], [p.first for p in passes]

    def _repair(self, id: str) -> tuple[str, list[Hazard], list[str]]:
        part = self._circuit.part(id)
        self._circuit = self._circuit.without_faults(id)
        self.pulled.discard(id)
        return "mended", [], [f"{id}:{part.terminals[0]}"]

    # -- what happens by itself --------------------------------------------------------------

    def _protection(self, id: str) -> Any:
        part = self._circuit.part(id)
        if part.kind not in ("fuse", "breaker"):
            kinds = [p.id for p in self._circuit.parts.values() if p.kind in ("fuse", "breaker")]
            raise CircuitError(
                [f"{id} is a {part.kind}; fuses and breakers are {', '.join(kinds)}"]
            )
        return part

    def _load(self, id: str) -> None:
        loads = sensed(self._circuit, self.point)
        if id not in loads:
            raise CircuitError([f"'{id}' shows nothing of what it does; {did_you_mean(id, loads)}"])

    def _opened_now(self) -> list[Hazard]:
        """Leave open what opened, and name what else is dangerous in the state reached."""
        point = self.point
        if "jumper" in point.opened:
            self._circuit = self._circuit.without_bridge("jumper")
            return [safety.jumper_blew(JUMPER_FUSE), *self._opened_now()]
        self._blow(point.opened)
        return safety.fuses(self._circuit, point.opened) + safety.hot_wires(self._circuit, point)

    def _blow(self, opened: tuple[str, ...]) -> None:
        known = {f.part for f in self._circuit.faults if f.mode == "blown"}
        new = [f"{id} blown" for id in opened if id not in known and id in self._circuit.parts]
        if new:
            self._circuit = self._circuit.with_fault(*new)

    def _reach(self, place: str) -> float:
        """Minutes to get at a place the first time: the easiest part there decides."""
        label = next(j for j in self._circuit.junctions if place in j.members)
        if label.label in self._reached:
            return 0.0
        self._reached.add(label.label)
        parts = {m.split(":")[0] for m in label.members if ":" in m}
        return min((self._circuit.parts[id].reach for id in parts), default=0.0) / 60.0

    # -- keeping and replaying ---------------------------------------------------------------

    def save(self, path: str | Path) -> None:
        """Write the log, a line of JSON for each act behind a first line that names the circuit."""
        head = {"schema": SCHEMA, "title": self._circuit.title}
        lines = [json.dumps(head), *(json.dumps(entry.as_json()) for entry in self.log)]
        Path(path).write_text("\n".join(lines) + "\n", encoding="utf-8")


def replay(path: str | Path, circuit: Circuit) -> Bench:
    """Do again everything in a saved log, and see that it shows the same.

    Parameters
    ----------
    path : str or Path
        Written by :meth:`Bench.save`.
    circuit : Circuit
        The circuit it was written at, faults included.

    Raises
    ------
    CircuitError
        If the file cannot be read, belongs to another circuit or schema, or shows something else.
    """
    name = str(path)
    try:
        lines = [json.loads(x) for x in Path(path).read_text(encoding="utf-8").splitlines() if x]
        head, acts = lines[0], [(x["action"], x["args"], x["shows"]) for x in lines[1:]]
        schema, title = head["schema"], head["title"]
    except (OSError, ValueError, LookupError, TypeError) as error:
        raise CircuitError([f"{name}: is no log of a bench ({error}); save one first"]) from None
    if schema != SCHEMA:
        raise CircuitError([f"{name}: has schema {schema}; this program reads {SCHEMA}"])
    if title != circuit.title:
        raise CircuitError([f"{name}: is of '{title}'; give that circuit, not '{circuit.title}'"])
    bench = Bench(circuit)
    for number, (action, args, shows) in enumerate(acts, 1):
        entry = bench.act(action, **args)
        if entry.shows != shows:
            problem = f"act {number}, {action}: shows '{entry.shows}', the log says '{shows}'"
            raise CircuitError([f"{name}: {problem}; the circuit or its faults are others"])
    return bench
