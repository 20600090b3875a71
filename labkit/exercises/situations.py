"""The situations an exercise is measured in: as found, the load taken off its wire, the load on.

The heart of the workbook needs the last two side by side: with the load taken off, a voltmeter
sees full voltage through almost any corrosion; with it on, the drop shows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from labkit.circuits.circuit import Circuit
from labkit.exercises.exercise import Exercise
from labkit.parts import Trait
from labkit.text.wording import counted


@dataclass(frozen=True)
class Situation:
    """Where the switches are, what is taken off, what is shaken, and what that is called.

    Attributes
    ----------
    name : str
        Short, to head a column.
    says : str
        How to bring it about, as the end of a sentence.
    """

    name: str
    says: str
    positions: Mapping[str, str]
    parted: str = ""
    shaken: tuple[str, ...] = ()

    def of(self, circuit: Circuit) -> Circuit:
        """Bring a circuit into this situation."""
        moved = circuit.with_position(**self.positions)
        moved = moved.with_parted(self.parted) if self.parted else moved
        return moved.with_disturbed(*self.shaken) if self.shaken else moved


def situations(exercise: Exercise, shaken: tuple[str, ...] = ()) -> tuple[Situation, ...]:
    """Return the situations worth measuring in, the one with the load running last.

    Parameters
    ----------
    exercise : Exercise
    shaken : tuple of str
        Parts whose fault shows only while they are shaken: a last situation for them.
    """
    circuit, proof = exercise.circuit, exercise.proof
    found = dict(circuit.positions)
    loaded = {**found, **proof.positions}
    idle = {**found, **(proof.idle or {})}
    made = [Situation("as found", told(found), found)] if found != loaded else []
    if proof.idle is not None and idle not in (found, loaded):
        made.append(Situation("idle", told(idle), idle))
    off = lead_to(circuit, proof.load)
    made += [
        Situation(f"{off} taken off", f"{told(loaded)}, the wire at {off} taken off", loaded, off),
        Situation(f"{proof.load} on", f"{told(loaded)}, nothing taken off", loaded),
    ]
    if shaken:
        words = f"{' and '.join(shaken)} shaken"
        made.append(Situation(words, f"{told(loaded)}, {words}", loaded, shaken=shaken))
    return tuple(made)


def found_on(circuit: Circuit) -> tuple[Situation, ...]:
    """Situations of a circuit without an exercise: as its file has it, and all switched on."""
    found = dict(circuit.positions)
    on = {
        id: circuit.parts[id].choices[0] if circuit.parts[id].choices else word
        for id, word in found.items()
    }
    made = [Situation("as drawn", told(found), found)]
    return (*made, Situation("all on", told(on), on)) if on != found else tuple(made)


MANY_SWITCHES = 12
"""Of more switches than this, those that are off are not listed one by one. Our choice."""


def told(positions: Mapping[str, str]) -> str:
    """Say where the switches are: 'S1 on, S2 off'; of many: 'S1 on, the other 40 off'."""
    listed = sorted(positions.items(), key=lambda item: counted(item[0]))
    off = sum(word == "off" for _, word in listed)
    if len(listed) > MANY_SWITCHES and off > 1:
        some = [f"{id} {word}" for id, word in listed if word != "off"]
        return ", ".join([*some, f"the other {off} off" if some else "all off"])
    return ", ".join(f"{id} {word}" for id, word in listed) or "as it is"


def lead_to(circuit: Circuit, load: str) -> str:
    """Return the terminal at which a load is taken off its supply: a source's plus, else its 1."""
    terminals = circuit.parts[load].terminals
    is_source = Trait.SOURCE in circuit.parts[load].traits
    return f"{load}:{terminals[1] if is_source else terminals[0]}"


def probe(terminals: Iterable[str], parted: str = "") -> str:
    """Where to hold the red lead at a test point: not on the terminal taken off."""
    return next(t for t in terminals if t != parted)
