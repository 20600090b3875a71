"""A hunt looked back on: from the log of a bench to what each measurement told."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from labkit.bench import Entry
from labkit.circuit import Circuit
from labkit.diagnosis import Adviser, Diagnosis, Evidence, Measurement, Review, review
from labkit.diagnosis.evidence import outcomes
from labkit.hunt import Hunt
from labkit.messages import CircuitError
from labkit.meter import FUNCTIONS
from labkit.quantities import QuantityError

_PULLED = ("set", "whole", "blown", "tripped", "missing", "the wrong size")


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
        Up to the first repair: from then on it is another boat. Readings taken while a fuse lies
        on the bench, or that were a hazard and no reading, are left out.
    """
    hand = _Hand(circuit)
    found = []
    for entry in log:
        if entry.action == "repair":
            break
        made = hand.did(entry)
        if made is not None and _fits(made, circuit):
            found.append(made)
    return found


class _Hand:
    """The state a log has brought the boat into, as far as evidence must know it."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.positions: dict[str, str] = {}
        self.parted: set[str] = set()
        self.bridges: dict[str, tuple[str, ...]] = {}
        self.out: set[str] = set()

    def did(self, entry: Entry) -> Evidence | None:
        """Take an act into account; return what was learnt by it, if anything was."""
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
            self.out.add(args["id"])
            seen = "the wrong size" if ", marked" in shows else shows
            return self._seen("pull", args["id"], "", seen) if seen in _PULLED else None
        elif entry.action == "fit":
            self.out.discard(args["id"])
            again = any(h.kind == "fuse opened" for h in entry.hazards)
            if args.get("rating"):
                return None
            return self._seen("fit", args["id"], "", "opens again" if again else "holds")
        elif not self.out and not entry.hazards:
            return self._looked(entry)
        return None

    def _looked(self, entry: Entry) -> Evidence | None:
        args, shows = entry.args, entry.shows
        if entry.action == "read":
            clamp = args["function"] == "clamp"
            red, black = self.circuit.point(args["red"]), self.circuit.point(args["black"])
            return self._seen(args["function"], red, "" if clamp else black, shows)
        if entry.action == "test lamp":
            points = self._points(args["first"], args["second"])
            made = self._seen("test lamp", points[0], points[1], shows)
            self.bridges["test lamp"] = points
            return made
        if entry.action == "look":
            return self._seen("look", args["id"], "", shows)
        if entry.action == "wiggle":
            return self._seen("wiggle", args["id"], args["look_at"], shows)
        return None

    def _points(self, first: str, second: str) -> tuple[str, str]:
        return self.circuit.point(first), self.circuit.point(second)

    def _seen(self, function: str, red: str, black: str, shows: str) -> Evidence:
        moved = {
            id: word
            for id, word in self.positions.items()
            if self.circuit.positions.get(id) != word
        }
        return Measurement(
            function, red, black, moved, frozenset(self.parted),
            self.bridges.get("jumper", ()), self.bridges.get("test lamp", ()),
        ).saw(shows)  # fmt: skip


def _fits(evidence: Evidence, circuit: Circuit) -> bool:
    """Tell whether the reasoning knows such a reading or such a word."""
    if evidence.function not in FUNCTIONS:
        return evidence.seen in outcomes(evidence, circuit)
    try:
        _ = evidence.value
    except (QuantityError, CircuitError):
        return False
    return True


@dataclass(frozen=True)
class Debrief:
    """What a hunt's measurements told, and whether they bore out what was named.

    Attributes
    ----------
    review : Review
    lines : tuple of str
        All there is to say, a sentence each.
    """

    review: Review
    lines: tuple[str, ...]

    def __str__(self) -> str:
        return "\n".join(self.lines)


def debrief(hunt: Hunt) -> Debrief:
    """Look back on a hunt.

    Parameters
    ----------
    hunt : Hunt

    Returns
    -------
    Debrief
    """
    sound = hunt.exercise.circuit
    evidence = evidence_of(hunt.bench.log, sound)
    looked_back = review(Adviser(Diagnosis(sound)), evidence)
    lines = [f"{n}. {step}" for n, step in enumerate(looked_back.steps, 1)]
    lines.append(f"{looked_back.bits:.2f} bit in {looked_back.minutes:.1f} min of measuring.")
    lines += [looked_back.verdict(answer) for answer in dict.fromkeys(hunt.answers)]
    return Debrief(looked_back, (*lines, *_practise(hunt, looked_back)))


def _practise(hunt: Hunt, looked_back: Review) -> list[str]:
    """What to practise next, from what went least well."""
    kinds = {h.kind for h in hunt.bench.hazards}
    idle = [s for s in looked_back.steps if s.bits < 0.05 and s.advice is not None]
    said = []
    if "ohms live" in kinds or "meter short" in kinds:
        said.append("Practise next: which function of the meter the circuit must be dead for.")
    if kinds & {"parted under load", "fuse bypassed", "jumper short", "fuse too big"}:
        said.append("Practise next: making a circuit safe before hands and jumpers go into it.")
    if len(idle) * 2 > len(looked_back.steps):
        said.append(
            "Practise next: predict each reading for two suspects before you take it. More than "
            "half of these would have read the same whatever was wrong."
        )
    return said
