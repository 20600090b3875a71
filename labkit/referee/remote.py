"""A hunt whose boat stands elsewhere: the same bench and card, and nothing of the fault here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from labkit.aboard.bench import Bench, Entry
from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import circuit_from
from labkit.exercises.exercise import Story, muffled
from labkit.exercises.proving import Proven
from labkit.parts import Part
from labkit.questions import Verdict
from labkit.questions.naming import words_for
from labkit.referee.door import Door
from labkit.referee.wire import as_seen, entry_of


class RemoteBench(Bench):
    """A bench whose acts are done at the referee's; here stands the sound boat as it is seen.

    Parameters
    ----------
    seat : Seat
        Where acts are asked for.
    sound : Circuit
        Its switches as found.
    """

    def __init__(self, seat: Seat, sound: Circuit) -> None:
        super().__init__(sound)
        self._seat, self._sound = seat, sound

    def act(self, action: str, /, **args: str) -> Entry:
        """Have something done, and log it. Raises as :meth:`Bench.act` does."""
        answer = self._seat.ask(action, args)
        before = self._scene.setting
        self.see(answer["view"])
        entry = self.note(answer, before)
        for tell in self.watchers:
            tell(entry)
        return entry

    def note(self, line: Mapping[str, Any], before: Any = None) -> Entry:
        """Enter a line that was told of in the log."""
        now = self._scene.setting
        entry = entry_of(line, (before or now).shared(now))
        self.log.append(entry)
        return entry

    def see(self, view: Mapping[str, Any]) -> None:
        """Have everything stand as it is seen to stand."""
        scene, now = self._scene, as_seen(self._sound, view)
        if now != scene.circuit:
            scene.circuit = now
        scene.pulled, scene.seen_open = set(view["pulled"]), set(view["seen_open"])
        scene.traced = set(view["traced"])


class Seat:
    """A learner's place at one hunt of an exam: asks in turn, each with its number."""

    def __init__(self, door: Door, hunt: str, number: int = 0) -> None:
        self.door, self.hunt, self.number = door, hunt, number

    def ask(self, act: str, args: Mapping[str, str]) -> dict[str, Any]:
        """Have something done. Raises as :meth:`Door.ask` does."""
        answer = self.door.ask(self.hunt, self.number, act, dict(args))
        self.number += 1
        return answer


class Naming(NamedTuple):
    """What can be named."""

    parts: Mapping[str, Part]
    modes: Mapping[str, str]

    def words_of(self, part: str) -> tuple[str, ...]:
        """What can be wrong with a part, in the words of the list; all where it is none."""
        return words_for(self.parts, self.modes, part)


class RemoteHunt:
    """A hunt held by a referee, on a card like any other.

    Parameters
    ----------
    door : Door
    name : str
        Of the hunt, as the referee lists it.

    Attributes
    ----------
    exercise : Story
        What is told of it; no variants, no causes.
    bench : RemoteBench
    proven : Proven or None
        The last proof tried.
    """

    def __init__(self, door: Door, name: str) -> None:
        opened = door.opened(name)
        table = opened["circuit"]
        circuit, _ = muffled(circuit_from(table, table["title"]), opened["unheard"])
        circuit = circuit.with_position(**opened["positions"])
        self.exercise = Story(
            opened["title"],
            circuit,
            opened["complaint"],
            tuple(opened["seen"]),
            (),
            (),
            0.0,
            tuple(opened["cautions"]),
        )
        self.question = Naming(circuit.parts, opened["modes"])
        self.proven: Proven | None = None
        self._seat = Seat(door, name, len(opened["done"]))
        self.bench = RemoteBench(self._seat, circuit)
        self.bench.see(opened["view"])
        for asked, answer in opened["done"]:
            if asked["act"] == "prove":
                self._saw(answer)
            elif asked["act"] != "name":
                self.bench.note(answer)

    def __repr__(self) -> str:
        state = "proven" if self.proven is not None and self.proven.ok else "open"
        return f"<RemoteHunt {self.exercise.title!r}: {state}, {self.bench.minutes:.0f} min so far>"

    def name(self, part: str, mode: str) -> Verdict:
        """Name the fault; the referee notes it."""
        if not part or not mode:
            return Verdict(None, "Choose the part, and how it failed.")
        return Verdict(None, self._seat.ask("name", {"part": part, "mode": mode})["said"])

    def prove(self) -> Proven:
        """Have the load run, and see whether the repair holds."""
        answer = self._seat.ask("prove", {})
        self.bench.see(answer["view"])
        return self._saw(answer)

    def anew(self) -> RemoteHunt:
        """Return the hunt as it stands at the referee's: an exam is begun once."""
        return RemoteHunt(self._seat.door, self._seat.hunt)

    def _saw(self, answer: Mapping[str, Any]) -> Proven:
        self.proven = Proven(answer["ok"], answer["text"], 0.0)
        return self.proven
