"""How a circuit file is written: one example that grows, and every kind of part with its keys.

What is said of a kind is asked of its class; only what a key means stands here, and a test holds
that every key there is has its meaning.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

from pydantic.fields import FieldInfo

from labkit.parts import KINDS, Part
from labkit.parts.keys import USUAL
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import Kind, show

MEANINGS: Mapping[str, str] = {
    "id": "class letter and a number; everything refers to it",
    "label": "what it is called aboard; stands on the drawing",
    "reach": "how long it takes to get at it",
    "resistance": "its own, where it is known; else left out",
    "hidden": "not on the drawing until somebody traces its run",
    "wire": "number and colour of the wire that comes to it",
    "place": '"engine space" where it is hot there',
    "emf": "volts at rest",
    "charge": "how full it is, instead of emf",
    "capacity": "what is printed on it",
    "chemistry": "what it is made of",
    "health": "what is left of its capacity",
    "temperature": "of the part itself",
    "cca": "cold cranking amperes, as printed; sets its resistance",
    "voltage": "nominal; the system's where left out",
    "limit": "the most it gives",
    "size": "of the wire",
    "length": "one way",
    "insulation": "what its insulation stands",
    "bundle": "wires that carry current in one bundle, this one too",
    "sheathed": "whether conduit or a sheath guards it",
    "joints": "joints in it that nobody has seen",
    "rating": "what is printed on it",
    "interrupts": "the most current it can break",
    "kind": "how it is built",
    "position": "how it stands when somebody comes aboard",
    "positions": "each position, and the terminals it joins",
    "guard": "whether a guard keeps it from being knocked on",
    "current": "what it takes, as on its plate",
    "power": "what it takes, as on its plate",
    "driver": "whether it holds its power whatever the voltage",
    "load": "what it turns",
    "friction": "share of its pull that it takes to turn at all",
    "dry": "share of its current that it takes running dry",
    "cut_out": "it gives up below this",
    "restart": "it comes back above this",
    "reverse": "what it does the wrong way round: it blocks, or a diode across it conducts",
    "saturation": "of the diode law",
    "ideality": "of the diode law",
    "color": "of its light",
    "coil": "resistance of its coil",
    "pull_in": "it closes above this",
    "drop_out": "it opens below this",
    "audible": "whether one can hear it click",
    "pull": "resistance of its pull-in winding",
    "drop": "millivolts at its rated current",
    "sender": "which sender it is made for",
    "ohms": "empty and full",
    "of": "the part whose heat it feels",
    "opens": "it opens above this",
    "closes": "it closes again below this",
    "metal": "what it is made of",
    "noise": "volts that its brushes make the supply dance by",
    "sense": "where its regulator looks: at the machine, or by terminal S at the battery",
    "exciter": "what feeds its field at first: itself, or the charge lamp at terminal 61",
    "field": "where its field ends: inside, or at terminal DF, where it can be measured",
    "float": "volts it holds once it has charged",
    "absorption": "how long it holds its full voltage before it floats",
    "stage": "the stage it is in",
    "efficiency": "share of what it takes that it gives",
    "delay": "how long it waits before it closes",
}
"""What a key means, by its name in a file."""

_SUCH_AS = {"cca": "650 A", "label": "bilge pump"}

DOUBT = (
    'What nobody knows exactly is written so: "?" (not known: what the trade uses there is taken), '
    '"1.5..2.5 mm2" (between), "6 m +- 20 %" or "6 m +- 0.5 m", "about 6 m" (20 %).'
)


@dataclass(frozen=True)
class Key:
    """One key of a part.

    Attributes
    ----------
    name, means, example : str
    otherwise : str
        What holds where it is left out; 'must be written' where it may not be.
    usual : str
        What is taken for "?"; '' where that cannot be written.
    """

    name: str
    means: str
    example: str
    otherwise: str
    usual: str


def kind_named(name: str) -> type[Part]:
    """A kind of part by what a file calls it.

    Raises
    ------
    CircuitError
        If there is none.
    """
    if name not in KINDS:
        hint = did_you_mean(name, KINDS, len(KINDS))
        raise CircuitError([f'no kind of part "{name}"; {hint}'])
    return KINDS[name]


def says(kind: type[Part]) -> str:
    """What it is, from the first paragraph of its class."""
    text = inspect.getdoc(kind) or ""
    plain = re.sub(r":\w+:`([^`]*)`", r"\1", text.partition("\n\n")[0])
    return " ".join(plain.replace("`", "").split())


def written(kind: type[Part]) -> str:
    """An example as it stands in a file."""
    keys = {"id": f"{kind.letters[0]}1", "is": kind.kind, **kind.example}
    return "{ " + ", ".join(f"{name} = {_toml(value)}" for name, value in keys.items()) + " }"


def _toml(value: object) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f'"{k}" = {_toml(v)}' for k, v in value.items()) + " }"
    return str(value).lower() if isinstance(value, bool) else f'"{value}"'


def keys_of(kind: type[Part], common: bool = False) -> list[Key]:
    """Its own keys, or those it shares with every part."""
    shared = set(Part.model_fields)
    fields = kind.model_fields.items()
    return [_key(kind, name, field) for name, field in fields if (name in shared) == common]


def _key(kind: type[Part], name: str, field: FieldInfo) -> Key:
    key, quantity = field.alias or name, _quantity(field)
    usual = USUAL.get(kind.kind, {}).get(key, ("", ""))[0]
    example, otherwise = (
        _such_as(kind, key, field, quantity),
        _otherwise(kind, key, field, quantity),
    )
    return Key(key, MEANINGS[key], example, otherwise, usual)


def _such_as(kind: type[Part], key: str, field: FieldInfo, quantity: Kind | None) -> str:
    """A right value as TOML, or all of them where there are few."""
    if key == "id":
        return f'"{(kind.letters or "X")[0]}1"'
    if key == "wire":
        return '{ number = "7", color = "red" }'
    words = [
        word
        for arg in (field.annotation, *get_args(field.annotation))
        for word in get_args(arg)
        if isinstance(word, str)
    ]
    choices = kind.choices if key == "position" else words
    if any(choices):
        return ", ".join(f'"{word}"' for word in choices if word)
    default = field.get_default(call_default_factory=True)
    if isinstance(default, bool):
        return "true, false"
    if isinstance(default, Mapping) or (isinstance(default, int) and quantity is None):
        return _toml(default) if isinstance(default, Mapping) else str(default)
    given = kind.example.get(key) or _SUCH_AS.get(key) or (field.examples or [""])[0]
    typical = quantity.example if quantity else ""
    usually = "" if default is None else _otherwise(kind, key, field, quantity)
    return f'"{given or usually or typical}"'


def _quantity(field: FieldInfo) -> Kind | None:
    said = [*field.metadata, *(m for arg in get_args(field.annotation) for m in get_args(arg))]
    return next((m for m in said if isinstance(m, Kind)), None)


def _otherwise(kind: type[Part], key: str, field: FieldInfo, quantity: Kind | None) -> str:
    if field.is_required():
        return "must be written"
    if key == "resistance" and kind is not Part:
        own = _example(kind).own_resistance
        return show(own, "ohm", 2) if own else "by its rating"
    default: Any = field.get_default(call_default_factory=True)
    if default is None or default == "":
        return ""
    if isinstance(default, Mapping):
        return _toml(default)
    if quantity is None or isinstance(default, bool | str):
        return str(default).lower() if isinstance(default, bool) else str(default)
    unit, factor = next(iter(quantity.units.items()))
    if unit in ("V", "A", "ohm", "W"):
        return show(default / factor, unit, 3)
    return f"{default / factor:g} {unit}"


def _example(kind: type[Part]) -> Part:
    return kind.model_validate(
        {"id": f"{kind.letters[0]}1", **kind.example}, context={"system": 12.0}
    )


def fails(kind: type[Part]) -> list[str]:
    """How it may fail, each as a file writes it."""
    return [" ".join([mode.name, *mode.amounts[:1]]) for mode in kind.modes.values()]


def passes(kind: type[Part]) -> str:
    """Its terminals, and the ways a run may take through it."""
    ways = ["-".join(way) for way in _example(kind).ways()]
    terminals = ", ".join(_example(kind).terminals)
    if len(ways) == 1:
        return terminals
    each = " or ".join(f'"{way}"' for way in ways)
    return f"{terminals}; a run says which way: via = {each}"


_BATTERY = """\
title = "Cabin light"
system = "12 V"

[[run]]
name = "light"
from = "DC-"
to = "DC-"
parts = [
  { id = "G1", is = "battery", label = "house battery", emf = "12.6 V" },
  { id = "F1", is = "fuse", rating = "5 A" },
  { id = "S1", is = "switch", label = "light" },
  { id = "E1", is = "lamp", power = "10 W" },
]
"""
_WIRES = """\
title = "Cabin light"
system = "12 V"

[[run]]
name = "light"
from = "DC-"
to = "DC-"
parts = [
  { id = "G1", is = "battery", label = "house battery", emf = "?" },
  { id = "F1", is = "fuse", rating = "5 A" },
  { id = "S1", is = "switch", label = "light" },
  { id = "W1", is = "cable", size = "1.5..2.5 mm2", length = "about 6 m", joints = "0..2" },
  { id = "E1", is = "lamp", power = "10 W" },
  { id = "X1", is = "joint", label = "splice under the berth", reach = "5 min" },
]
"""
_NODES = """\
title = "Cabin light and fan"
system = "12 V"

[[run]]
name = "feed"
from = "DC-"
to = "panel"
parts = [
  { id = "G1", is = "battery", label = "house battery", emf = "?" },
  { id = "F1", is = "fuse", kind = "midi", rating = "40 A" },
]

[[run]]
name = "light"
from = "panel"
to = "bus"
parts = [
  { id = "F2", is = "fuse", rating = "5 A" },
  { id = "S1", is = "switch", label = "light" },
  { id = "E1", is = "lamp", power = "10 W" },
]

[[run]]
name = "fan"
from = "panel"
to = "bus"
parts = [
  { id = "F3", is = "fuse", rating = "5 A" },
  { id = "S2", is = "switch", label = "fan" },
  { id = "M1", is = "motor", current = "2 A" },
]

[[run]]
name = "return"
from = "bus"
to = "DC-"
parts = [{ id = "X1", is = "joint", label = "negative bus" }]
"""
_RELAY = _NODES.replace(
    """  { id = "S2", is = "switch", label = "fan" },
  { id = "M1", is = "motor", current = "2 A" },
]
""",
    """  { id = "K1", is = "relay", via = "30-87" },
  { id = "M1", is = "motor", current = "2 A" },
]

[[run]]
name = "fan switch"
from = "panel"
to = "bus"
parts = [
  { id = "S2", is = "switch", label = "fan" },
  { id = "K1", via = "86-85" },
]
""",
)

EXAMPLE: tuple[tuple[str, str], ...] = (
    (
        "A boat is a list of runs: parts in the order the current meets them, from one node to "
        'another. "DC-" is the battery\'s negative, where every voltage is measured from. The '
        "smallest circuit is one run that comes back to where it began.",
        _BATTERY,
    ),
    (
        "Wires and joints are parts too, since they fail more often than anything else. " + DOUBT +
        " reach says how long it takes to get there, so that advice spares you floorboards.",
        _WIRES,
    ),
    (
        "Where wires meet, a run ends on a node with a name of your own, and others begin there. "
        "Two loads from one panel, back by one negative bus:",
        _NODES,
    ),
    (
        "A part with several ways through it says which one a run takes: via. It is described "
        "once, and met again by its id alone. Here a relay (its terminals numbered by DIN 72552) "
        "switches the fan:",
        _RELAY,
    ),
)  # fmt: skip  # rows that a reader compares
"""Sentences, and a circuit file that does what they say; each goes on from the one before."""


def example_steps() -> list[tuple[str, str]]:
    """The example: what is said, and the lines that are new in the file since the step before."""
    made, before = [], ""
    for text, file in EXAMPLE:
        made.append((text, _new_lines(before, file)))
        before = file
    return made


def _new_lines(before: str, after: str) -> str:
    """The runs of a file that were not in the one before, whole."""
    old = before.split("\n\n")
    return "\n\n".join(block.rstrip() for block in after.split("\n\n") if block not in old)
