"""Evidence as people type it and as it is printed: leads, function, outcome, settings."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from types import MappingProxyType

from labkit.aboard.acts import ACTS
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.evidence import NO_NUMBER, Evidence, Measurement, outcomes, senses
from labkit.diagnosis.positions import all_off
from labkit.diagnosis.typed import NUMBER, OVER, is_number, plainly
from labkit.measuring.meter import FUNCTIONS
from labkit.measuring.senses import words_of
from labkit.parts.base import PART_ID
from labkit.parts.traits import Trait
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import QuantityError

_EXAMPLE = 'write it as "X1:1 DC- volts 12.6 V S2=on" or "M1 look runs as it should S2=on"'
_BRIDGES = ("jumper", "lamp")
_FUNCTION_OF = {"V": "volts", "A": "clamp", "ohm": "ohms", "Ω": "ohms"}
_ALL_OFF = re.compile(r"\s*(?:,\s*)?(?:with |when )?(?:all|everything)(?: switched| turned)? off\b")
_MOVED = re.compile(
    r"\s*(?:,\s*)?(?:with|when|while) (\w+) (?:is |goes |turned |switched )?(\w+)\b"
)

_MEANT: Mapping[str, Sequence[str]] = {
    "stands still": ("dead", "silent", "nothing", "off", "stopped", "does nothing", "still"),
    "hums but stands still": ("hums", "buzzes", "jammed"),
    "runs as it should": ("runs", "ok", "fine", "works", "good", "normal", "running"),
    "turns noticeably slowly": ("slow", "slowly", "weak", "turns slowly", "runs slowly"),
    "is dark": ("dead", "dark", "off", "out", "nothing"),
    "is bright": ("bright", "ok", "fine", "works", "good", "normal", "on"),
    "is dim": ("dim", "weak", "dull"),
    "is off": ("dead", "off", "nothing"),
    "works": ("ok", "fine", "on", "good", "works"),
    "is cold": ("cold", "dead", "off"),
    "is warm": ("warm", "hot", "ok", "works"),
    "clicks in": ("clicks", "pulled in", "is pulled in", "on"),
    "does not click": ("dead", "off", "no click", "at rest", "is at rest", "silent"),
    "tripped": ("blown", "open", "off"),
    "blown": ("tripped", "open", "burnt", "gone"),
    "whole": ("ok", "good", "fine", "intact"),
    "set": ("ok", "good", "fine", "on", "whole"),
    "opens again": ("blows again", "trips again", "blows", "trips", "blown"),
    "holds": ("ok", "fine", "stays in"),
}  # fmt: skip  # rows that a reader compares
"""Outcomes, and what else people call them."""


def parse_seen(text: str, circuit: Circuit) -> Evidence:
    """Read a piece of evidence as it is written on the command line.

    Parameters
    ----------
    text : str
        Leads, function, outcome, and settings: "X1:1 DC- volts 12.6 V S2=on", "battery stud 4
        volts 12,3", "M1 look is dim S2=on", "X1 M1 wiggle M1 stutters", "F2 look blown", "F2 pull
        blown", "W2:2 DC- ohms OL S1=off X1:2=parted", "0.35 A with all off".
    circuit : Circuit

    Raises
    ------
    CircuitError
        In a sentence, naming what could not be read and what would be right.
    """
    try:
        return _parsed(text, circuit)
    except CircuitError as error:
        raise CircuitError([f'seen "{text}": {error.problems[0]}']) from None


def _parsed(text: str, circuit: Circuit) -> Evidence:
    bare, rest = _settings(plainly(text, circuit), circuit)
    functions = {name.replace(" ", "-"): name for name in (*FUNCTIONS, *senses())}
    for hyphened, name in functions.items():  # 'test lamp' is one word here
        rest = rest.replace(name, hyphened) if " " in name else rest
    words = rest.split()
    place = next((n for n, word in enumerate(words) if word in functions), None)
    if place is None:
        function, leads, outcome = _unnamed(words, functions, circuit)
    else:
        function, leads = functions[words[place]], words[:place]
        outcome = " ".join(words[place + 1 :])
    if not outcome:
        raise CircuitError([f"does not say what was seen; {_EXAMPLE}"])
    if function == "look" and len(leads) == 1 and _is_fuse(leads[0], circuit):
        function = "pull"
    red, black = _leads(function, leads, circuit)
    made = replace(bare, function=function, red=red, black=black).saw(outcome)
    seen = _number(outcome, function) if function in FUNCTIONS else _word(made, circuit)
    made = replace(made, seen=seen)
    problem = _outcome_problem(made, circuit)
    if problem:
        raise CircuitError([problem])
    return made


def _unnamed(
    words: list[str], functions: Mapping[str, str], circuit: Circuit
) -> tuple[str, list[str], str]:
    """What was done where no function is named: told by the unit, or by what is looked at."""
    for n in range(len(words)):
        match = NUMBER.fullmatch(" ".join(words[n:]))
        unit = match[4] if match and (match[2] or match[3]) else ""
        leads = _across(words[:n], unit, circuit)
        known = all(_known(place, circuit) for place in _places(leads, circuit))
        if unit and unit.lstrip("mkMµu") in _FUNCTION_OF and known:
            if not leads and unit.endswith("A"):
                leads = [_battery(circuit)]
            return _FUNCTION_OF[unit.lstrip("mkMµu")], leads, " ".join(words[n:])
    if len(words) > 1 and words[0] in circuit.parts:
        part, outcome = circuit.parts[words[0]], " ".join(words[1:])
        function = "pull" if _is_fuse(part.id, circuit) else "look"
        if words_of(part) or function == "pull":
            tried = Measurement(function, part.id).saw(outcome)
            if _word(tried, circuit) in outcomes(tried, circuit):
                return function, [part.id], outcome
            if words[1] not in _near(words[1], functions):
                return function, [part.id], outcome  # whose word is then said to be none
    if len(words) == 2 and is_number(words[1]) and _gives(words[0], circuit):
        return "volts", _across(words[:1], "V", circuit), words[1]
    if len(words) > 1 and is_number(words[-1]) and _points_all(words[:-1], circuit):
        right = f"{' '.join(words)} V"
        raise CircuitError([f'gives no unit; write such as "{right}"'])
    raise CircuitError([_no_function(words, functions, circuit)])


def _near(word: str, functions: Iterable[str]) -> list[str]:
    return get_close_matches(word.lower(), functions, n=1, cutoff=0.65)


def _no_function(words: list[str], functions: Iterable[str], circuit: Circuit) -> str:
    """What is most likely wrong with evidence that names no function."""
    amounts = [n for n in range(len(words)) if is_number(" ".join(words[n:]))]
    leads = words[: amounts[0]] if amounts else []
    near = [name for word in words for name in _near(word, functions)]
    strange = [place for place in _places(leads, circuit) if not _known(place, circuit)]
    if strange and not near:
        try:
            circuit.point(strange[0])
        except CircuitError as error:
            return error.problems[0]
    return (
        f"names no function; did you mean '{near[0]}'?" if near else f"cannot be read; {_EXAMPLE}"
    )


def _across(words: list[str], unit: str, circuit: Circuit) -> list[str]:
    """Where it was read: of a part alone across it, and its current at its first terminal."""
    part = circuit.parts.get(words[0]) if len(words) == 1 else None
    if part is None:
        return words
    first, second = (f"{part.id}:{t}" for t in part.ways()[0])
    if Trait.SOURCE in part.traits:
        first, second = second, first  # from '-' to '+' runs its way, red is at '+'
    return [first] if unit.endswith("A") else [first, second]


def _gives(id: str, circuit: Circuit) -> bool:
    return id in circuit.parts and Trait.SOURCE in circuit.parts[id].traits


def _points_all(words: list[str], circuit: Circuit) -> bool:
    return all(_known(place, circuit) for place in _places(words, circuit))


def _battery(circuit: Circuit) -> str:
    found = [p.id for p in circuit.parts.values() if Trait.SOURCE in p.traits]
    if not found:
        raise CircuitError([f"does not say where the current was measured; {_EXAMPLE}"])
    return f"{found[0]}:+"


def _is_fuse(id: str, circuit: Circuit) -> bool:
    return id in circuit.parts and Trait.PROTECTION in circuit.parts[id].traits


# -- settings ------------------------------------------------------------------------------------


def _settings(text: str, circuit: Circuit) -> tuple[Measurement, str]:
    """The state a text asks for, and the text without it."""
    positions: dict[str, str] = {}
    parted: set[str] = set()
    bridges: dict[str, tuple[str, ...]] = {}
    if _ALL_OFF.search(text):
        positions.update(all_off(circuit))
        text = _ALL_OFF.sub(" ", text)
    for match in list(_MOVED.finditer(text)):
        id, word = match.groups()
        if id in circuit.positions or PART_ID.fullmatch(id):
            circuit.with_position(**{id: word})
            positions[id] = word
            text = text.replace(match.group(0), " ", 1)
    pieces = re.split(r"(?<!\S)(?=[^\s=]+=)", text)
    rest = [pieces[0]]
    for piece in pieces[1:]:
        key, _, value = piece.strip().partition("=")
        left = ""
        if key in _BRIDGES:
            bridges[key], left = _bridge(key, value, circuit)
        elif ":" in key:
            state, _, left = value.partition(" ")
            if state != "parted":
                raise CircuitError([f'{piece.strip()}: a terminal can only be "{key}=parted"'])
            circuit.with_parted(key)
            parted.add(key)
        else:
            positions[key], left = _position(key, value, circuit)
        rest.append(left)
    made = Measurement(
        "",
        "",
        "",
        MappingProxyType(positions),
        frozenset(parted),
        bridges.get("jumper", ()),
        bridges.get("lamp", ()),
    )
    return made, " ".join(rest)


def _position(key: str, value: str, circuit: Circuit) -> tuple[str, str]:
    """The longest beginning of a text that is a position of this part, and what follows it."""
    words = value.split()
    for n in range(len(words), 1, -1):
        word = " ".join(words[:n])
        part = circuit.part(key)
        if word in (*part.choices, *getattr(part, "positions", ())):
            return word, " ".join(words[n:])
    circuit.with_position(**{key: words[0] if words else ""})
    return words[0], " ".join(words[1:])


def _bridge(key: str, value: str, circuit: Circuit) -> tuple[tuple[str, ...], str]:
    """The two points bridged, and what follows them."""
    first, slash, rest = value.partition("/")
    if not slash:
        raise CircuitError([f'{key}={value}: write the two points bridged, "{key}=X1:1/X1:2"'])
    words = rest.split()
    for n in range(len(words), 1, -1):
        if _known(" ".join(words[:n]), circuit):
            return (circuit.point(first), circuit.point(" ".join(words[:n]))), " ".join(words[n:])
    return (circuit.point(first), circuit.point(words[0] if words else "")), " ".join(words[1:])


# -- places --------------------------------------------------------------------------------------


def _known(text: str, circuit: Circuit) -> str:
    """A terminal, node or number of a test point as it is spelt here; '' where it is none."""
    if text in circuit.node_of:
        return text
    if text.isdecimal() and 1 <= int(text[:6]) <= len(circuit.test_points):
        return circuit.point(text)
    same = [name for name in circuit.node_of if name.casefold() == text.casefold()]
    return same[0] if len(same) == 1 else ""


def _places(words: list[str], circuit: Circuit) -> list[str]:
    """Cut words into places, the longest name that is known first; names may hold spaces."""
    found, n = [], 0
    while n < len(words):
        for end in range(len(words), n, -1):
            name = _known(" ".join(words[n:end]), circuit)
            if name:
                found.append(name)
                n = end
                break
        else:
            if words[n].lower() not in _FILLING:
                found.append(words[n])  # which is no place; the search for it says so
            n += 1
    return found


_FILLING = ("to", "at", "on", "and", "between", "against", "from", "red", "black", "point")


def _leads(function: str, words: list[str], circuit: Circuit) -> tuple[str, str]:
    if function in FUNCTIONS:
        return _points(function, words, circuit)
    act = ACTS[function]
    wanted = [need for need in act.needs if need.otherwise is None]
    if wanted[0].sort == "point":
        return _points(function, words, circuit)
    if len(words) != len(wanted):
        right = " and ".join(_ABOUT[need.sort] for need in wanted)
        raise CircuitError([f"found {len(words)} places before '{function}'; write {right}"])
    first, second = [*(circuit.part(id).id for id in words), ""][:2]
    return first, second


_ABOUT = {
    "load": "the load looked at",
    "protection": "the fuse",
    "gap": "the fuse",
    "part": "the part",
}


def _points(function: str, words: list[str], circuit: Circuit) -> tuple[str, str]:
    leads = _places(words, circuit)
    if not leads:
        raise CircuitError(['does not say where it was read; write it such as "X1:1 12.3 V"'])
    if function == "clamp":
        if len(leads) != 1:
            right = "write the one terminal the clamp is at"
            raise CircuitError([f"found {len(leads)} places before 'clamp'; {right}"])
        return circuit.point(leads[0]), ""
    if len(leads) == 1:
        leads = [*leads, "DC-"]
    if len(leads) != 2:
        raise CircuitError([f"found {len(leads)} leads; write where red and black are"])
    return circuit.point(leads[0]), circuit.point(leads[1])


# -- outcomes ------------------------------------------------------------------------------------


def _number(text: str, function: str) -> str:
    """A display as the meter would have it: with its unit, and a point for a comma."""
    if text in NO_NUMBER:
        return text
    if text.lower() in OVER:
        return "OL"
    match = NUMBER.fullmatch(text)
    if match is None or not (match[2] or match[3]):
        return text
    unit = match[4] or FUNCTIONS[function].unit
    decimals = f".{match[3]}" if match[3] else ""
    return f"{match[1]}{match[2] or '0'}{decimals} {unit}"


def _word(evidence: Evidence, circuit: Circuit) -> str:
    """An outcome in the words of the list, where what was written means one of them."""
    right, said = outcomes(evidence, circuit), evidence.seen
    if said in right:
        return said
    plain = said.lower().removeprefix("is ").strip()
    if evidence.function == "wiggle":
        plain = plain.removeprefix(evidence.black.lower()).strip()
        right = tuple(word for word in right if word.startswith(evidence.black))
        near = [word for word in right if word.lower().endswith(plain)] if plain else []
        return near[0] if len(near) == 1 else said
    for word in right:
        if plain in (word.lower(), word.lower().removeprefix("is ")):
            return word
    meant = [word for word in right if plain in _MEANT.get(word, ())]
    return meant[0] if len(meant) == 1 else said


def _outcome_problem(evidence: Evidence, circuit: Circuit) -> str:
    if evidence.function in FUNCTIONS:
        try:
            _ = evidence.value
        except QuantityError as error:
            return f'{error}, or "OL"'
        return ""
    right = outcomes(evidence, circuit)
    if not right:
        watched = evidence.black or evidence.red
        fuse = ACTS[evidence.function].needs[0].sort in ("protection", "gap")
        parts = circuit.parts.values()
        some = [p.id for p in parts if (Trait.PROTECTION in p.traits if fuse else words_of(p))]
        return f"{watched} shows nothing there; {did_you_mean(watched, some)}"
    if evidence.seen not in right:
        return f"nothing is seen as '{evidence.seen}'; {did_you_mean(evidence.seen, right, 12)}"
    return ""
