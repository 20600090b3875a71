"""A hunt kept on disk as it goes: everything done is recorded, and an unfinished hunt goes on."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol

from labkit.aboard.bench import Bench, Entry
from labkit.circuits.circuit import Circuit
from labkit.exercises.exercise import Exercise
from labkit.exercises.proving import Proven
from labkit.hunts.hints import Hint
from labkit.hunts.hunt import Hunt
from labkit.hunts.standing import EVERY, KIND, box_of, taken_up
from labkit.questions import Verdict
from labkit.record import Attempt, Record, begin, resume, unfinished, user
from labkit.record.attempt import Tell, say
from labkit.text.messages import CircuitError


class Keeps(Protocol):
    """What takes the lines of an attempt, wherever it keeps them."""

    def add(self, kind: str, **facts: Any) -> None:
        """Take a line."""


class KeptBench(Bench):
    """A bench whose every act is written down.

    Attributes
    ----------
    noted : callable
        Called when one was.
    """

    def __init__(self, circuit: Circuit) -> None:
        super().__init__(circuit)
        self.attempt: Keeps | None = None
        self.noted: Callable[[], object] = lambda: None

    def act(self, action: str, /, **args: str) -> Entry:
        """Do something by its name, log it and keep it. Raises as :meth:`Bench.act` does."""
        entry = super().act(action, **args)
        if self.attempt is not None:
            self.attempt.add("act", **entry.as_json())
            self.noted()
        return entry


class RecordedHunt(Hunt):
    """A hunt of which everything done is written down, once it has something to write to.

    Attributes
    ----------
    bench : KeptBench
    """

    bench: KeptBench

    def __init__(self, exercise: Exercise, name: str = "") -> None:
        super().__init__(exercise, name)
        self.bench = KeptBench(self.dealt.circuit)

    def keep_in(self, attempt: Keeps) -> None:
        """Write down what is done from now on."""
        self.bench.attempt = attempt

    def name(self, part: str, mode: str) -> Verdict:
        """Name the fault."""
        verdict = super().name(part, mode)
        if verdict.right is not None:
            self._keep(
                "named",
                part=part,
                mode=mode,
                right=verdict.right,
                text=verdict.text,
                misconception=verdict.misconception,
            )
        return verdict

    def hint(self) -> Hint:
        """Ask for the next step of a hint."""
        found = super().hint()
        if found.step:
            self._keep("hint", step=found.step, text=found.text, seen=found.seen)
        return found

    def own(self, rule: str, held: bool) -> None:
        """Answer whether a wrong rule was behind a wrong name."""
        super().own(rule, held)
        self._keep("owned", rule=rule, held=held, misconception=rule if held else "")

    def prove(self) -> Proven:
        """Run the load and see whether the repair holds."""
        proven = super().prove()
        self._keep("proof", ok=proven.ok, text=proven.text, drop=proven.drop)
        if proven.ok:
            self._keep("finished", **self.finish)
        return proven

    def _keep(self, kind: str, **facts: Any) -> None:
        if self.bench.attempt is not None:
            self.bench.attempt.add(kind, **facts)


class KeptHunt(RecordedHunt):
    """A hunt that goes on where it was left.

    Parameters
    ----------
    exercise : Exercise
    name : str
        Whose hunt it is; :func:`labkit.record.user` where not said.
    folder : Path, optional
        Where attempts are kept; :func:`labkit.record.records_folder` where not said.
    again : bool
        Begin anew, whatever was left unfinished.
    tell : callable
        Takes a sentence where something of the record is not as it should be.

    Attributes
    ----------
    attempt : Attempt
    """

    def __init__(
        self,
        exercise: Exercise,
        name: str = "",
        folder: Path | None = None,
        again: bool = False,
        tell: Tell = say,
    ) -> None:
        learner = exercise.learner or name or user()
        self._tell, self._folder, self._stood = tell, folder, 0
        super().__init__(exercise, learner)
        found = None if again else self._resumed(learner)
        self.attempt = found or begin(exercise.title, learner, folder, tell)
        self.keep_in(self.attempt)
        self.bench.noted = self._stand

    def anew(self) -> KeptHunt:
        """Return the same hunt at its beginning; what was done is kept as it is."""
        return KeptHunt(self.exercise, self.learner, self._folder, again=True, tell=self._tell)

    def _stand(self) -> None:
        """Write down now and then how it stands, so that all of it need not be played again."""
        if len(self.bench.log) - self._stood < EVERY:
            return
        if box := box_of(self, self._stood):
            self._stood = len(self.bench.log)
            self._keep(KIND, box=box)

    def _former(self) -> list[Path]:
        """Attempts that may be continued, the latest first."""
        return unfinished(self.exercise.title, self.learner, self._folder, self._tell)

    def _resumed(self, learner: str) -> Attempt | None:
        """Go on with the latest attempt left unfinished, if it can be played again."""
        for path in self._former():
            try:
                opened = resume(path, self._tell)
                if opened is not None:
                    self._go_on(opened[1])
                    return opened[0]
            except CircuitError as error:
                super().__init__(self.exercise, learner)
                self._tell(f"{error}; starting a new attempt")
        return None

    def _go_on(self, record: Record) -> None:
        """Come to where an attempt was left, from where it was last written down."""
        try:
            done = taken_up(self, record)
        except (
            CircuitError,
            ValueError,
            LookupError,
            TypeError,
        ):  # then it is played from the start
            super().__init__(self.exercise, self.learner)
            done = 0
        self._stood = len(self.bench.log)
        play(self, record, done)


def keep_answers(
    title: str, name: str = "", folder: Path | None = None, tell: Tell = say
) -> tuple[Attempt, Sequence[Mapping[str, Any]]]:
    """Return where answers to a lesson's questions are kept, and those kept there already.

    Parameters
    ----------
    title : str
        Of the lesson.
    name, folder, tell
        As for :class:`KeptHunt`.
    """
    learner = name or user()
    for path in unfinished(title, learner, folder, tell):
        opened = resume(path, tell)
        if opened is not None:
            return opened[0], opened[1].lines
    return begin(title, learner, folder, tell), ()


def play(hunt: Hunt, record: Record, done: int = 0) -> None:
    """Do again everything a record tells, and see that it shows the same.

    Parameters
    ----------
    hunt : Hunt
        Of the record's exercise and learner, at its beginning or where so many lines are done.
    record : Record
    done : int

    Raises
    ------
    CircuitError
        If something cannot be done or shows something else: the exercise has changed since.
    """
    for line in record.lines[done:]:
        try:
            _do(hunt, line)
        except (CircuitError, KeyError, TypeError) as error:
            raise CircuitError(
                [
                    f"{record.path}: cannot be played again ({error}), so the exercise has changed "
                    "since"
                ]
            ) from None


def _do(hunt: Hunt, line: Mapping[str, Any]) -> None:
    if line["kind"] == "act":
        entry = hunt.bench.act(line["action"], **line["args"])
        if entry.shows != line["shows"]:
            raise CircuitError([f"'{entry}' showed '{line['shows']}'"])
    elif line["kind"] == "named":
        hunt.name(line["part"], line["mode"])
    elif line["kind"] == "proof":
        hunt.prove()
    elif line["kind"] == "hint":
        hunt.hints.append(Hint(int(line["step"]), str(line["text"]), int(line["seen"])))
    elif line["kind"] == "owned":
        hunt.own(str(line["rule"]), line["held"] is True)
