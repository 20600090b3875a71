"""What an owner says about the boat, as evidence: measurements, complaints, and plain remarks."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from types import MappingProxyType

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.evidence import Evidence
from labkit.diagnosis.said import parse_seen
from labkit.diagnosis.typed import plainly
from labkit.ownboat.complaints import Complaint, parse_complaint
from labkit.parts import Lampholder, LedLamp
from labkit.parts.traits import Trait
from labkit.text.messages import CircuitError, did_you_mean

Said = Evidence | Complaint

_ID = r"(?:(?P<id>[A-Z]{1,2}\d{1,4})\s+)?"
_WHEN = (
    r"(?:\s+(?:when|with|as)\s+(?P<switch>\w+)\s+(?:goes |is |turned |switched )?(?P<word>\w+))?"
)
_DIMS = re.compile(rf"{_ID}(?:lights? )?(?:dims?|dips?|flickers)\b{_WHEN}.*", re.IGNORECASE)
_TRIPS = re.compile(rf"{_ID}(?:trips|blows|opens|pops)\b.*", re.IGNORECASE)
_HOT = re.compile(
    rf"{_ID}(?:touch |looks? |is |gets |feels )*(?:too )?(?:hot|warm|smells|burnt)\b.*"
)
_LOOKS = re.compile(r"(?P<id>[A-Z]{1,2}\d{1,4}) looks? (?P<rest>.+)", re.IGNORECASE)
_HOLDS = re.compile(
    r"(?P<id>[A-Z]{1,2}\d{1,4}) (?:holds|stays in|does not (?:trip|blow))(?P<rest>.*)"
)
_NOTHING = re.compile(r"(?:nothing|everything|all)(?: at all)? (?:works|is dead|dead|off)")
_GREEN = re.compile(rf"{_ID}(?:looks? |is )*(?:green|corroded|rusty|loose|wet)\b.*", re.IGNORECASE)
_FLAT = re.compile(r".*(?:\bflat\b|\bdrains?\b|goes dead overnight).*", re.IGNORECASE)
_PULLED = re.compile(
    r"(?P<id>[A-Z]{1,2}\d{1,4})\s+(?:is |was )?(?:pulled|out|taken out)\b.*"
    r"(?:drain|current).*(?:stops|stopped|gone|goes|falls|zero|nothing).*",
    re.IGNORECASE,
)


def parse_said(text: str, circuit: Circuit) -> list[Said]:
    """Read anything that was seen, measured or said of a boat.

    Parameters
    ----------
    text : str
        As for :func:`labkit.diagnosis.said.parse_seen` or
        :func:`labkit.ownboat.complaints.parse_complaint`; or a remark: "dims when S2 goes on",
        "trips after 20 s", "X1 hot", "X1 green", "F4 pulled: the drain stops".
    circuit : Circuit

    Raises
    ------
    CircuitError
        As :func:`labkit.diagnosis.said.parse_seen` does.
    """
    plain = plainly(text, circuit)
    for pattern, made in _REMARKS.items():
        match = pattern.fullmatch(plain)
        if match is not None:
            try:
                found = made(match.groupdict(), circuit)
            except CircuitError as error:
                raise CircuitError([_about(text, error)]) from None
            if found:
                return found
    try:
        return [parse_seen(text, circuit)]
    except CircuitError as error:
        try:
            return [parse_complaint(plain, circuit)]
        except CircuitError as other:
            known = "is not a known complaint" not in other.problems[0]
            raise (other if known else error) from None


def _about(text: str, error: CircuitError) -> str:
    problem = error.problems[0]
    return problem if problem.startswith("seen ") else f'seen "{text}": {problem}'


Groups = Mapping[str, str | None]


def _pulled(groups: Groups, circuit: Circuit) -> list[Said]:
    id = circuit.part(groups["id"] or "").id
    source = next((p.id for p in circuit.parts.values() if Trait.SOURCE in p.traits), "")
    first = f"{id}:{circuit.part(id).terminals[0]}"
    drained = parse_seen(f"{source}:+ clamp 0.00 A with all off {first}=parted", circuit)
    return [Complaint("drains"), drained]


def _holds(groups: Groups, circuit: Circuit) -> list[Said]:
    """A fuse that is whole, and does not open in the state it was seen in."""
    part = circuit.part(groups["id"] or "")
    if Trait.PROTECTION not in part.traits:
        return []
    sound = parse_seen(f"{part.id} pull {part.whole}", circuit)
    return [sound, parse_seen(f"{part.id} fit holds{groups['rest']}", circuit)]


def _looked_at(groups: Groups, circuit: Circuit) -> list[Said]:
    """A fuse that looks blown has been looked at, out of its holder."""
    part = circuit.part(groups["id"] or "")
    seen = (groups["rest"] or "").lower().removeprefix("to be ").removeprefix("to have ")
    seen = {"ok": part.whole, "fine": part.whole, "good": part.whole}.get(seen, seen)
    if Trait.PROTECTION not in part.traits or "=" in seen:
        return []
    return [parse_seen(f"{part.id} pull {seen}", circuit)]


def _nothing(groups: Groups, circuit: Circuit) -> list[Said]:
    loads = [part.id for part in circuit.parts.values() if Trait.LOAD in part.traits]
    return [Complaint("dead", id) for id in loads]


def _dims(groups: Groups, circuit: Circuit) -> list[Said]:
    positions: dict[str, str] = {}
    if groups.get("switch"):
        positions = {groups["switch"] or "": groups["word"] or ""}
        if groups["switch"] not in circuit.positions:
            right = did_you_mean(groups["switch"] or "", circuit.positions)
            raise CircuitError([f"does not say which switch goes on; {right}"])
        circuit.with_position(**positions)
    elif not groups.get("id"):
        return []
    lamps = [p.id for p in circuit.parts.values() if isinstance(p, Lampholder | LedLamp)]
    ids = [circuit.part(groups["id"] or "").id] if groups.get("id") else lamps[:1]
    return [Complaint("dips", id, MappingProxyType(positions)) for id in ids]


def _opens(groups: Groups, circuit: Circuit) -> list[Said]:
    return [Complaint("opens", circuit.part(groups["id"] or "").id if groups["id"] else "")]


def _of(says: str) -> Callable[[Groups, Circuit], list[Said]]:
    def made(groups: Groups, circuit: Circuit) -> list[Said]:
        id = circuit.part(groups["id"] or "").id if groups.get("id") else ""
        meant = bool(id) and says == "hot" and Trait.MEANT_HOT in circuit.part(id).traits
        return [] if meant or (says == "corroded" and not id) else [Complaint(says, id)]

    return made


_REMARKS: Mapping[re.Pattern[str], Callable[[Groups, Circuit], list[Said]]] = {
    _PULLED: _pulled,
    _HOLDS: _holds,
    _NOTHING: _nothing,
    _DIMS: _dims,
    _TRIPS: _opens,
    _HOT: _of("hot"),
    _GREEN: _of("corroded"),
    _LOOKS: _looked_at,
    _FLAT: lambda groups, circuit: [Complaint("drains")],
}
