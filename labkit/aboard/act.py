"""What an act at a circuit is: one record, read by whatever offers, logs, weighs or advises it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import Hazard
from labkit.parts import Relay, Trait

if TYPE_CHECKING:
    from labkit.aboard.scene import Scene

Sort = Literal[
    "part", "load", "protection", "gap", "terminal", "parted", "point", "run", "bridge",
    "contact", "isolator", "source", "battery", "word", "rating", "function", "time", "motion",
    "jaw",
]  # fmt: skip  # rows that a reader compares
"""What can be asked for: sorts of things aboard, and words. A gap is where a fuse was pulled, a jaw
what the clamp is round, if anything."""


@dataclass(frozen=True)
class Need:
    """One thing an act must be told.

    Attributes
    ----------
    name : str
        By which the bench takes it.
    sort : Sort
    label : str
        On a form.
    otherwise : str or None
        What it is where nothing is said; None where it must be said.
    """

    name: str
    sort: Sort
    label: str = ""
    otherwise: str | None = None


class Outcome(NamedTuple):
    """What an act showed, what was dangerous in it, and minutes it took beside the usual."""

    shows: str
    hazards: list[Hazard] = []
    minutes: float = 0.0


def hand_place(circuit: Circuit, id: str) -> str:
    """Where hands get at a part: its first terminal that anything is connected to."""
    part = circuit.part(id)
    met = (f"{id}:{terminal}" for terminal in part.terminals)
    return next(place for place in met if place in circuit.node_of)


def _places(circuit: Circuit, sort: Sort, text: str) -> list[str]:
    """Where one must get to for a thing of this sort."""
    if sort in ("point", "terminal", "parted", "jaw"):
        return [circuit.point(text)]
    if sort == "source" and text not in circuit.parts:  # brought along
        return []
    if sort in ("part", "protection", "gap", "source", "battery"):
        return [hand_place(circuit, text)]
    if sort == "load":  # a relay is closed: one must be beside it to hear it click
        return [hand_place(circuit, text)] if isinstance(circuit.part(text), Relay) else []
    if sort in ("contact", "isolator"):
        part = circuit.part(text)
        at_panel = part.settings() and Trait.IN_PLACE not in part.traits
        return [] if at_panel else [hand_place(circuit, text)]
    if sort == "run":
        return [step.first for run in circuit.runs if run.name == text for step in run.passes]
    return []


def _as_shown(shows: str, hazards: Iterable[Hazard], first: str) -> str:
    return shows


@dataclass(frozen=True)
class Sense:
    """An act as a question to the boat that the meter has no part in: its answer is a word.

    What it is asked about are the act's first one or two needs.

    Attributes
    ----------
    words : callable
        Takes a circuit and what is asked about; every word it may be answered with, () where
        nothing answers.
    asked : str
        How advice and review say it: 'wiggling {red} with an eye on {black}'.
    about : callable
        Takes a circuit; pairs of what it is worth asking about there, the second perhaps ''.
    when : str
        In which positions of the switches: 'every' one worth a look, 'found' or 'in use'.
    instead : str
        How it is said what another fault would have shown: '{red} is dark'.
    told : callable
        Takes what the log shows, the hazards and the first thing asked about; the word that is.
    beside : str
        Another act that always goes with it, such as putting back what was pulled.
    risks : str
        The word for what had better not happen: where it is likely, the act is not advised.
    """

    words: Callable[..., tuple[str, ...]]
    asked: str
    about: Callable[[Circuit], Iterable[tuple[str, str]]] = lambda circuit: ()
    when: Literal["every", "found", "in use"] = "every"
    instead: str = "it "
    told: Callable[[str, Iterable[Hazard], str], str] = _as_shown
    beside: str = ""
    risks: str = ""


@dataclass(frozen=True)
class Act:
    """Something a person can do at a circuit.

    Attributes
    ----------
    name : str
    minutes : float
        What it takes, the way to it apart. [min] Common practice, no source.
    perform : callable
        Takes the scene and what the act needs, by name; changes the scene or nothing.
    needs : tuple of Need
    done : str or callable
        How the log says it, from its needs by name: 'look at {id}'.
    label : str
        On a form; '' for what is done without one.
    sense : Sense or None
        What it asks of the boat, if it does.
    changes : bool
        Whether the boat is another one after it.
    repairs : bool
        Whether it costs a repair: from then on it is another boat.
    hands : bool
        Whether it takes both hands, so that nobody holds a push button meanwhile.
    """

    name: str
    minutes: float
    perform: Callable[..., Outcome]
    needs: tuple[Need, ...]
    done: str | Callable[[Mapping[str, str]], str]
    label: str = ""
    sense: Sense | None = None
    changes: bool = True
    repairs: bool = False
    hands: bool = False

    def said(self, args: Mapping[str, str], named: Callable[[str], str] = str) -> str:
        """Say what was done, in a few words.

        Parameters
        ----------
        args : mapping of str to str
        named : callable
            How a place is called.
        """
        called = {
            need.name: named(args[need.name]) if need.sort == "point" else args[need.name]
            for need in self.needs
            if need.name in args
        }
        given = {need.name: need.otherwise or "" for need in self.needs} | called
        text = self.done(given) if callable(self.done) else self.done.format_map(given)
        return " ".join(text.split())

    def given(self, subject: Iterable[str]) -> dict[str, str]:
        """Its needs by name, from what is asked about in their order; the rest as usual."""
        names = [need.name for need in self.needs]
        return {name: word for name, word in zip(names, subject, strict=False) if word}

    def places(self, circuit: Circuit, args: Mapping[str, str]) -> list[str]:
        """Terminals and nodes one must get at to do it."""
        needs = self.needs
        if args.get("function") == "clamp":  # one jaw, no leads
            needs = needs[:1]
        given = [(n.sort, args.get(n.name, n.otherwise)) for n in needs]
        return [place for sort, text in given if text for place in _places(circuit, sort, text)]

    def performed(self, scene: Scene, args: Mapping[str, str]) -> Outcome:
        """Do it, its optional needs filled in."""
        usual = {n.name: n.otherwise for n in self.needs if n.otherwise is not None}
        return self.perform(scene, **{**usual, **args})
