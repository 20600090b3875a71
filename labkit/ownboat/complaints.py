"""What the person aboard says, as evidence: how likely each fault would make them say it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.cost import moved
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.faults import in_use
from labkit.diagnosis.normal import below
from labkit.diagnosis.positions import all_off
from labkit.parts import AT_TIMES, Battery
from labkit.parts.traits import Trait
from labkit.solving.arrays import Array, Numbers
from labkit.text.messages import CircuitError, did_you_mean

if TYPE_CHECKING:
    from labkit.ownboat.boat import Boat


COMPLAINTS: Mapping[str, str] = {
    "dead": "does nothing",
    "slow": "is slow or weak",
    "dim": "is dim",
    "dips": "dips when something else goes on",
    "opens": "opens: the fuse blows, the breaker trips",
    "drains": "the battery goes flat with everything off",
    "comes and goes": "works at times",
    "will not stop": "goes on when switched off",
    "hot": "gets hot",
    "corroded": "is green or loose to look at",
}
"""What may be said of a part, and what it means."""

SAID, UNSAID = 0.9, 0.03
"""Chance that somebody says so where it is so, and where it is not. Common practice, no source."""

NOTICED, EYE = 0.08, 0.04
"""Loss of voltage or speed that people notice, as a share, and how that differs among them.
Common practice, no source."""

DRAIN = 0.03
"""A battery that gives this much more than the sound boat does with everything off drains. [A]"""

DIP = 0.02
"""Share of the system's voltage by which a load must fall more than on the sound boat."""

WARM = 2.0
"""Heat in a joint or contact that a hand notices. [W] Common practice, no source."""

_OF = {
    "dead": "load", "slow": "load", "dim": "load", "dips": "load", "comes and goes": "load",
    "will not stop": "load", "opens": "protection", "hot": "part", "corroded": "part", "drains": "",
}  # fmt: skip  # rows that a reader compares


@dataclass(frozen=True)
class Complaint:
    """What somebody aboard says.

    Attributes
    ----------
    says : str
        A key of COMPLAINTS.
    part : str
        Which, or '' for any.
    positions : mapping of str to str
        Of the switches as it happens; everything on where not given.
    """

    says: str
    part: str = ""
    positions: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    unlisted: float = 0.3

    def __str__(self) -> str:
        settings = [f"{id}={word}" for id, word in self.positions.items()]
        return " ".join(word for word in (self.part, self.says, *settings) if word)

    def chances(self, boat: Boat, sets: Numbers) -> Array:
        """Chance that this is said, under each row."""
        fits = _SAYS[self.says](self, boat)
        mean: Array = UNSAID + (SAID - UNSAID) * np.clip(np.nan_to_num(fits), 0, 1)[sets].max(1)
        return mean

    def in_use(self, circuit: Circuit) -> Measurement:
        """The state in which it is noticed."""
        positions = {**in_use(circuit)[0], **self.positions}
        return Measurement("", "", positions=moved(circuit, positions))


def parse_complaint(text: str, circuit: Circuit) -> Complaint:
    """Read a complaint: 'M1 dead', 'drains', 'E1 dips', 'F1 opens', 'M1 slow S2=on'.

    Raises
    ------
    CircuitError
        In a sentence, naming what could not be read and what would be right.
    """
    words = text.split()
    positions = dict(word.split("=", 1) for word in words if word.count("=") == 1)
    rest = " ".join(word for word in words if "=" not in word)
    says = next((s for s in COMPLAINTS if re.search(rf"(^|\s){s}$", rest)), "")
    if not says:
        right = ", ".join(f'"{example}"' for example in _EXAMPLES)
        raise CircuitError([f'complaint "{text}": is not a known complaint; write one of {right}'])
    id = rest[: len(rest) - len(says)].strip()
    circuit.with_position(**positions)
    if not id and (_OF[says] in ("load",)):
        raise CircuitError([f'complaint "{text}": does not say of what; write such as "M1 {says}"'])
    if id:
        part = circuit.part(id)
        wanted = {"load": Trait.LOAD, "protection": Trait.PROTECTION}.get(_OF[says])
        right_kind = [p.id for p in circuit.parts.values() if wanted and wanted in p.traits]
        if wanted is not None and wanted not in part.traits:
            raise CircuitError(
                [f'complaint "{text}": {id} is a {part.kind}; {did_you_mean(id, right_kind)}']
            )
    return Complaint(says, id, MappingProxyType(positions))


_EXAMPLES = (
    "M1 dead", "M1 slow", "E1 dim", "E1 dips", "F1 opens", "drains", "M1 comes and goes",
    "M1 will not stop",
)  # fmt: skip  # rows that a reader compares


# -- how well each set of faults goes with it -----------------------------------------------------


def _liveliness(complaint: Complaint, boat: Boat, at: Measurement) -> Array:
    """How much a load does as a share of what it does on the sound boat, for each set of faults."""
    points, id = boat.known.points(at), complaint.part
    part = boat.circuit.part(id)
    if Trait.TURNS in part.traits:
        size = points.row("speeds", id)
    else:
        a, b = part.ways()[0]
        current = np.nan_to_num(points.row("amps", id))
        volts = points.row("volts", f"{id}:{a}") - points.row("volts", f"{id}:{b}")
        size = np.where(np.abs(current) > 1e-6, np.nan_to_num(volts), 0.0)
    sound = size[0]
    return np.nan_to_num(size) / sound if sound else np.nan_to_num(size)


def _dead(complaint: Complaint, boat: Boat) -> Array:
    share = np.abs(_liveliness(complaint, boat, complaint.in_use(boat.circuit)))
    return np.asarray(below((0.25 - share) / 0.05))


def _weak(complaint: Complaint, boat: Boat) -> Array:
    share = np.abs(_liveliness(complaint, boat, complaint.in_use(boat.circuit)))
    noticed = below((1 - share - NOTICED) / EYE)
    return np.asarray(noticed * below((share - 0.03) / 0.02))


def _dips(complaint: Complaint, boat: Boat) -> Array:
    on = _volts_at(complaint, boat, complaint.in_use(boat.circuit))
    lone = {**all_off(boat.circuit), **_feeding(complaint, boat)}
    alone = _volts_at(complaint, boat, Measurement("", "", positions=moved(boat.circuit, lone)))
    dip = np.nan_to_num(alone - on) / boat.circuit.system
    return np.asarray(below((dip - dip[0] - DIP) / (DIP / 2)))


def _feeding(complaint: Complaint, boat: Boat) -> Mapping[str, str]:
    """Switches without which the load is dead: those that must be on for it alone."""
    circuit, on = boat.circuit, in_use(boat.circuit)[0]
    at = Measurement("", "", positions=moved(circuit, on))
    found = {}
    whole = abs(boat.known.points(at).row("amps", complaint.part)[0])
    for id in on:
        off = {**on, id: all_off(circuit).get(id, on[id])}
        now = Measurement("", "", positions=moved(circuit, off))
        amps = np.nan_to_num(boat.known.points(now).row("amps", complaint.part)[0])
        if abs(amps) < 0.1 * whole:
            found[id] = on[id]
    return found


def _volts_at(complaint: Complaint, boat: Boat, at: Measurement) -> Array:
    part = boat.circuit.part(complaint.part)
    points, (a, b) = boat.known.points(at), part.ways()[0]
    first, second = (np.nan_to_num(points.row("volts", f"{part.id}:{t}")) for t in (a, b))
    return np.asarray(first - second)


def _opens(complaint: Complaint, boat: Boat) -> Array:
    known = boat.known
    opened = known.points(complaint.in_use(boat.circuit)).opened
    these = [complaint.part] if complaint.part else list(opened)
    found = np.zeros(len(known.sets))
    for id in these:
        found = np.maximum(found, opened.get(id, np.zeros(len(found))).astype(float))
    for n, faults in enumerate(known.sets):
        modes = {f.mode for f in faults if f.part in these}
        found[n] = max(found[n], 0.7 * bool(modes & {"wrong fuse", "blown"}))
    return np.asarray(found)


def _drains(complaint: Complaint, boat: Boat) -> Array:
    off = moved(boat.circuit, {**all_off(boat.circuit), **complaint.positions})
    points = boat.known.points(Measurement("", "", positions=off))
    total = np.zeros(len(boat.known.sets))
    for part in boat.circuit.parts.values():
        if isinstance(part, Battery):
            total = np.maximum(total, np.abs(np.nan_to_num(points.row("amps", part.id))))
    return np.asarray(total > total[0] + DRAIN, float)


def _comes_and_goes(complaint: Complaint, boat: Boat) -> Array:
    loose = [any(f.mode in AT_TIMES for f in faults) for faults in boat.known.sets]
    return np.asarray(loose, float)


def _will_not_stop(complaint: Complaint, boat: Boat) -> Array:
    off = moved(boat.circuit, {**all_off(boat.circuit), **complaint.positions})
    points, id = boat.known.points(Measurement("", "", positions=off)), complaint.part
    on = boat.known.points(complaint.in_use(boat.circuit)).row("amps", id)
    amps = np.abs(np.nan_to_num(points.row("amps", id)))
    return np.asarray(amps > max(0.1 * abs(float(np.nan_to_num(on[0]))), 0.05), float)


def _hot(complaint: Complaint, boat: Boat) -> Array:
    points, found = boat.known.points(complaint.in_use(boat.circuit)), None
    parts = [complaint.part] if complaint.part else list(boat.circuit.parts)
    for id in parts:
        part = boat.circuit.part(id)
        if not complaint.part and part.traits & (Trait.LOAD | Trait.SOURCE):
            continue
        a, b = part.ways()[0]
        volts = points.row("volts", f"{id}:{a}") - points.row("volts", f"{id}:{b}")
        key = id if len(part.ways()) == 1 else f"{id} {a}-{b}"
        watts = np.abs(np.nan_to_num(volts * points.row("amps", key)))
        warm = below((watts - max(WARM, 3 * watts[0])) / (WARM / 3))
        found = warm if found is None else np.maximum(found, warm)
    return np.zeros(len(boat.known.sets)) if found is None else np.asarray(found)


def _corroded(complaint: Complaint, boat: Boat) -> Array:
    """Green and loose are seen of sound ones too: a bad one looks so three times as often."""
    modes = ("resistance", "open", "intermittent", "leak")
    bad = [any(f.part == complaint.part and f.mode in modes for f in s) for s in boat.known.sets]
    return np.where(bad, 0.9, 0.3)


_SAYS = {
    "dead": _dead, "slow": _weak, "dim": _weak, "dips": _dips, "opens": _opens,
    "drains": _drains, "comes and goes": _comes_and_goes, "will not stop": _will_not_stop,
    "hot": _hot, "corroded": _corroded,
}  # fmt: skip  # rows that a reader compares
