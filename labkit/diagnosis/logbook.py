"""The log of a bench read as evidence: what was asked of the boat as it was found, and answered."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from labkit.aboard.bench import Bench, Entry
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis import Evidence, Measurement
from labkit.diagnosis.evidence import outcomes
from labkit.measuring.meter import FUNCTIONS, Hazard, Reading
from labkit.text.messages import CircuitError
from labkit.text.quantities import QuantityError

_ASKING = ("read", "look", "wiggle", "test lamp", "pull", "fit")


@dataclass(frozen=True)
class Asked:
    """Something asked of the boat, and what led to it.

    Attributes
    ----------
    evidence : Evidence
        What was done, in which state of the boat, and what was seen.
    minutes : float
        Since the last thing asked, the switches moved and connections parted meanwhile included.
    hazards : tuple of Hazard
        Run into meanwhile.
    void : str
        Why it is no evidence about the boat as found, or ''.
    """

    evidence: Evidence
    minutes: float
    hazards: tuple[Hazard, ...] = ()
    void: str = ""


def asked(log: Iterable[Entry], circuit: Circuit) -> list[Asked]:
    """List what was asked at a bench, up to the first repair: from then on it is another boat.

    Parameters
    ----------
    log : iterable of Entry
    circuit : Circuit
        Sound, its switches as found.
    """
    hand = _Hand(circuit)
    found: list[Asked] = []
    minutes, hazards = 0.0, list[Hazard]()
    for entry in log:
        if entry.action == "repair":
            break
        minutes += entry.minutes
        hazards += entry.hazards
        void = hand.void(entry)
        evidence = hand.did(entry)
        if evidence is not None:
            void = void or ("" if _fits(evidence, circuit) else "no reading")
            found.append(Asked(evidence, minutes, tuple(hazards), void))
            minutes, hazards = 0.0, []
    return found


def evidence_of(log: Iterable[Entry], circuit: Circuit) -> list[Evidence]:
    """Turn what was done at a bench into evidence about the boat as it was found.

    Parameters
    ----------
    log : iterable of Entry
    circuit : Circuit
        Sound, its switches as found.

    Returns
    -------
    list of Evidence
        Readings that were a hazard, and no reading, are left out.
    """
    return [item.evidence for item in asked(log, circuit) if not item.void]


def would_show(circuit: Circuit, measurement: Measurement) -> tuple[str, Reading | None]:
    """Do what a measurement asks for at a bench of its own, and see.

    Parameters
    ----------
    circuit : Circuit
        As found, with whatever is wrong with it.
    measurement : Measurement

    Returns
    -------
    str and Reading or None
        What is seen, in the words of evidence, and the reading if the meter was used.
    """
    bench = Bench(circuit)
    for id, to in measurement.positions.items():
        bench.switch(id, to)
    for terminal in sorted(measurement.parted):
        bench.part(terminal)
    if measurement.jumper:
        bench.jumper(*measurement.jumper)
    if measurement.lamp:
        bench.test_lamp(*measurement.lamp)
    red, black, function = measurement.red, measurement.black, measurement.function
    if function in FUNCTIONS:
        reading = bench.read(red, black or NEGATIVE, function)
        return reading.display, reading
    args = {"test lamp": {"first": red, "second": black}, "wiggle": {"id": red, "look_at": black}}
    bench.act(function, **args.get(function, {"id": red}))
    return asked(bench.log, circuit.without_faults())[-1].evidence.seen, None


class _Hand:
    """The state a log has brought the boat into, as far as evidence must know it."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.positions: dict[str, str] = {}
        self.parted: set[str] = set()
        self.bridges: dict[str, tuple[str, ...]] = {}
        self.out: set[str] = set()

    def void(self, entry: Entry) -> str:
        """Why what is seen in this act is no evidence, or ''."""
        if entry.action == "fit":
            return "another size of fuse" if entry.args.get("rating") else ""
        return "dangerous, and no reading" if entry.hazards and entry.action != "pull" else ""

    def did(self, entry: Entry) -> Evidence | None:
        """Take an act into account; return what was asked and seen in it, if anything was."""
        args, shows = entry.args, entry.shows
        if entry.action == "switch":
            self.positions[args["id"]] = args["to"]
        elif entry.action == "part":
            self.parted.add(args["terminal"])
        elif entry.action == "join":
            self.parted.discard(args["terminal"])
        elif entry.action == "lift":
            self.bridges.pop(args["what"], None)
        elif entry.action == "jumper" and shows == "in place":
            self.bridges["jumper"] = self._points(args["first"], args["second"])
        elif entry.action == "pull":
            seen = self._seen("pull", args["id"], "", shows)
            self.out.add(args["id"])
            return seen
        elif entry.action == "fit":
            self.out.discard(args["id"])
            again = any(h.kind == "fuse opened" for h in entry.hazards)
            return self._seen("fit", args["id"], "", "opens again" if again else "holds")
        elif entry.action in _ASKING:
            return self._looked(entry)
        return None

    def _looked(self, entry: Entry) -> Evidence:
        args, shows = entry.args, entry.shows
        if entry.action == "read":
            clamp = args["function"] == "clamp"
            red, black = self._points(args["red"], args["black"])
            return self._seen(args["function"], red, "" if clamp else black, shows)
        if entry.action == "test lamp":
            points = self._points(args["first"], args["second"])
            made = self._seen("test lamp", points[0], points[1], shows)
            self.bridges["test lamp"] = points
            return made
        if entry.action == "wiggle":
            return self._seen("wiggle", args["id"], args["look_at"], shows)
        return self._seen("look", args["id"], "", shows)

    def _points(self, first: str, second: str) -> tuple[str, str]:
        return self._point(first), self._point(second)

    def _point(self, text: str) -> str:
        """Where a lead is; with a fuse out, on what its first terminal was connected to."""
        point = self.circuit.point(text)
        if point not in self._open:
            return point
        members = next(j.members for j in self.circuit.junctions if point in j.members)
        return next((member for member in members if member not in self._open), point)

    @property
    def _open(self) -> frozenset[str]:
        """Terminals at which a fuse that lies on the bench leaves a gap."""
        return frozenset(f"{id}:1" for id in self.out)

    def _seen(self, function: str, red: str, black: str, shows: str) -> Evidence:
        moved = {
            id: word
            for id, word in self.positions.items()
            if self.circuit.positions.get(id) != word
        }
        return Measurement(
            function, red, black, moved, self._open | self.parted,
            self.bridges.get("jumper", ()), self.bridges.get("test lamp", ()),
        ).saw("the wrong size" if ", marked" in shows else shows)  # fmt: skip


def _fits(evidence: Evidence, circuit: Circuit) -> bool:
    """Tell whether the reasoning knows such a reading or such a word."""
    if evidence.function not in FUNCTIONS:
        return evidence.seen in outcomes(evidence, circuit)
    try:
        _ = evidence.value
    except (QuantityError, CircuitError):
        return False
    return True
