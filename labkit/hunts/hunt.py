"""A hunt: one dealt exercise, from the complaint to a repair proven under load."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import dropwhile

from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench
from labkit.aboard.habits import MadeSafe, made_safe
from labkit.diagnosis.logbook import asked, evidence_of
from labkit.exercises.exercise import Dealt, Exercise
from labkit.exercises.proving import Proven, prove
from labkit.questions import NameFault, Verdict


@dataclass(frozen=True)
class Named:
    """A part and mode named in a hunt.

    Attributes
    ----------
    what : str
        Such as 'X1 resistance'.
    verdict : Verdict
    proved : bool or None
        Whether the readings so far left nothing else likely; None where that is not judged.
    proof : str
        The same in words, or why it is not judged.
    steps : int
        So many things had been asked of the boat, and are weighed.
    """

    what: str
    verdict: Verdict
    proved: bool | None = None
    proof: str = ""
    steps: int = 0


class Hunt:
    """One person's hunt for what is wrong in one exercise.

    Parameters
    ----------
    exercise : Exercise
    name : str
        Whose hunt it is: the same name is dealt the same fault.

    Attributes
    ----------
    bench : Bench
        Where the measuring and the mending is done.
    named : list of Named
        What was named so far, and how right it was.
    proven : Proven or None
        The last proof tried.
    """

    def __init__(self, exercise: Exercise, name: str = "") -> None:
        self.exercise = exercise
        self.dealt: Dealt = exercise.deal(name)
        self.bench = Bench(self.dealt.circuit)
        self.named: list[Named] = []
        self.proven: Proven | None = None

    def __repr__(self) -> str:
        return f"<Hunt {self.exercise.title!r}: {self.state}>"

    @property
    def question(self) -> NameFault:
        """Which part, and how?"""
        log, sound = self.bench.log, self.exercise.circuit
        after = list(dropwhile(lambda entry: not ACTS[entry.action].repairs, log))
        return NameFault(
            self.dealt, evidence_of(log, sound), traced=frozenset(self.bench.traced),
            more=bool(evidence_of((e for e in after if not ACTS[e.action].repairs), sound)),
        )  # fmt: skip

    @property
    def verdicts(self) -> list[Verdict]:
        """How right what was named so far was."""
        return [named.verdict for named in self.named]

    @property
    def state(self) -> str:
        """How far it has come, in a phrase."""
        if self.proven is not None and self.proven.ok:
            return f"proven after {self.bench.minutes:.0f} min"
        named = any(v.right for v in self.verdicts)
        return f"{'named' if named else 'open'}, {self.bench.minutes:.0f} min so far"

    @property
    def safe(self) -> MadeSafe:
        """Whether it was made safe before hands went in."""
        done = ((entry.action, entry.args, entry.shows) for entry in self.bench.log)
        return made_safe(done, self.exercise.circuit.system)

    def name(self, part: str, mode: str) -> Verdict:
        """Name the fault."""
        question = self.question
        verdict = question.grade(part, mode)
        steps = len(asked(self.bench.log, self.exercise.circuit))
        named = Named(f"{part} {question.modes.get(mode, mode)}", verdict, steps=steps)
        if verdict.right:
            proved, proof = question.proves(part, mode), question.proof(part, mode)
            named = replace(named, proved=proved, proof=proof)
        if verdict.right is not None:
            self.named.append(named)
        return verdict

    def prove(self) -> Proven:
        """Run the load and see whether the repair holds: shaken, under load, switched off again."""
        self.proven = prove(self.bench.circuit, self.exercise.proof, self.exercise.circuit)
        return self.proven
