"""The log of a bench read as evidence: what was asked of the boat as it was found, and answered."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Entry
from labkit.aboard.safety.kinds import HAZARDS
from labkit.aboard.setting import Setting
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.evidence import Evidence, Measurement, outcomes
from labkit.diagnosis.observing import seen_in
from labkit.measuring.meter import FUNCTIONS, Hazard
from labkit.text.messages import CircuitError
from labkit.text.quantities import QuantityError


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
    found: list[Asked] = []
    minutes, hazards = 0.0, list[Hazard]()
    for entry in log:
        if ACTS[entry.action].repairs:
            break
        minutes += entry.minutes
        hazards += entry.hazards
        evidence = _did(entry, circuit)
        if evidence is not None:
            void = _void(entry) or ("" if _fits(evidence, circuit) else "no reading")
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


def _did(entry: Entry, found: Circuit) -> Evidence | None:
    """Return what was asked and seen in an act, if anything was."""
    act, args = ACTS[entry.action], entry.args
    if entry.action == "read":
        function = args.get("function", "volts")
        if function == "clamp":  # round the wire itself, whatever was pulled
            return _seen(function, found.point(args["red"]), "", entry, found)
        leads = (args["red"], args.get("black", NEGATIVE))
        red, black = (_point(lead, entry.setting, found) for lead in leads)
        return _seen(function, red, black, entry, found)
    if act.sense is None:
        return None
    about = [
        _point(args[need.name], entry.setting, found) if need.sort == "point" else args[need.name]
        for need in act.needs
        if need.otherwise is None
    ]
    red, black = [*about, ""][:2]
    return _seen(entry.action, red, black, entry, found)


def _point(text: str, setting: Setting, found: Circuit) -> str:
    """Where a lead is; with a fuse out, on what its first terminal was connected to."""
    point = found.point(text)
    if point not in setting.out:
        return point
    members = next(j.members for j in found.junctions if point in j.members)
    return next((member for member in members if member not in setting.out), point)


def _seen(function: str, red: str, black: str, entry: Entry, found: Circuit) -> Evidence:
    setting, told = entry.setting, seen_in(function, entry.shows, [*entry.hazards], red)
    positions = {
        id: word for id, word in setting.positions.items() if found.positions.get(id) != word
    }
    bridges = setting.bridges
    return Measurement(
        function,
        red,
        black,
        positions,
        (setting.out | setting.parted) - found.parted,
        bridges.get("jumper", ()),
        bridges.get("test lamp", ()),
    ).saw(told)


def _void(entry: Entry) -> str:
    """Why what is seen in an act is no evidence about the boat as found, or ''."""
    if entry.action == "fit":
        return "another size of fuse" if entry.args.get("rating") else ""
    if entry.reading is not None and entry.reading.void:
        return entry.reading.void
    spoilt = any(HAZARDS[hazard.kind].spoils for hazard in entry.hazards)
    return "dangerous, and no reading" if spoilt else ""


def _fits(evidence: Evidence, circuit: Circuit) -> bool:
    """Tell whether the reasoning knows such a reading or such a word."""
    if evidence.function not in FUNCTIONS:
        return evidence.seen in outcomes(evidence, circuit)
    try:
        _ = evidence.value
    except (QuantityError, CircuitError):
        return False
    return True
