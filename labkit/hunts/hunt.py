"""A hunt: one dealt exercise, from the complaint to a repair proven under load."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import dropwhile
from typing import TYPE_CHECKING, Any

from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench
from labkit.aboard.habits import MadeSafe, made_safe
from labkit.diagnosis.logbook import asked, evidence_of
from labkit.exercises.exercise import Dealt, Exercise
from labkit.exercises.proving import Proven, does, prove
from labkit.hunts.bill import PROVING, Bill, bill
from labkit.questions import NameFault, Verdict

if TYPE_CHECKING:
    from labkit.hunts.hints import Hint


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
    part : str
    """

    what: str
    verdict: Verdict
    proved: bool | None = None
    proof: str = ""
    steps: int = 0
    part: str = ""


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
    proofs : int
        How many were tried.
    owned : dict of str to bool
        Wrong rules the learner was asked about when it was looked back on, and whether they were
        the learner's.
    hints : list of Hint
        Those that were asked for.
    """

    def __init__(self, exercise: Exercise, name: str = "") -> None:
        self.learner = name
        self.dealt: Dealt = exercise.deal(name)
        self.exercise = exercise.told(self.dealt.number)
        self.bench = Bench(self.dealt.circuit)
        self.named: list[Named] = []
        self.proven: Proven | None = None
        self.proofs = 0
        self.owned: dict[str, bool] = {}
        self.hints: list[Hint] = []

    def __repr__(self) -> str:
        return f"<Hunt {self.exercise.title!r}: {self.state}>"

    def anew(self) -> Hunt:
        """Return the same hunt at its beginning."""
        return Hunt(self.exercise, self.learner)

    @property
    def question(self) -> NameFault:
        """Which part, and how?"""
        log, sound = self.bench.log, self.exercise.circuit
        after = list(dropwhile(lambda entry: not ACTS[entry.action].repairs, log))
        return NameFault(
            self.dealt,
            evidence_of(log, sound),
            traced=frozenset(self.bench.traced),
            more=bool(evidence_of((e for e in after if not ACTS[e.action].repairs), sound)),
        )

    @property
    def weighs(self) -> bool:
        """Whether readings can be weighed here, which hints need too."""
        return self.question.weighs

    @property
    def verdicts(self) -> list[Verdict]:
        """How right what was named so far was."""
        return [named.verdict for named in self.named]

    @property
    def minutes(self) -> float:
        """Spent so far, at the bench and on proofs. [min]"""
        return self.bench.minutes + PROVING * self.proofs

    @property
    def bill(self) -> Bill:
        """What it has cost so far."""
        return bill(self)

    @property
    def finish(self) -> dict[str, Any]:
        """What a record tells of its end."""
        return {"minutes": round(self.minutes, 3), "cost": round(self.bill.minutes, 3)}

    @property
    def state(self) -> str:
        """How far it has come, in a phrase."""
        if self.proven is not None and self.proven.ok:
            return f"proven after {self.minutes:.0f} min"
        named = any(v.right for v in self.verdicts)
        return f"{'named' if named else 'open'}, {self.minutes:.0f} min so far"

    @property
    def needless(self) -> list[str]:
        """Parts replaced that were sound, each once for every time."""
        faulty = {fault.part for fault in self.dealt.circuit.faults}  # one renewed to look is not
        return [id for id in self.bench.needless if id not in faulty]

    @property
    def mended(self) -> bool:
        """Whether anything was mended or replaced, or is otherwise at fault than it was found."""
        if any(ACTS[entry.action].repairs for entry in self.bench.log):
            return True
        return set(self.bench.circuit.faults) != set(Bench(self.dealt.circuit).circuit.faults)

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
        what = f"{part} {question.modes.get(mode, mode)}"
        named = Named(what, verdict, steps=steps, part=part)
        if verdict.right:
            proved, proof = question.proves(part, mode), question.proof(part, mode)
            named = replace(named, proved=proved, proof=proof)
        if verdict.right is not None:
            self.named.append(named)
        return verdict

    def hint(self) -> Hint:
        """Ask for the next step of a hint, which costs."""
        from labkit.hunts.hinting import hint  # weighs what was seen

        found = hint(self)
        if found.step:
            self.hints.append(found)
        return found

    def own(self, rule: str, held: bool) -> None:
        """Answer whether a wrong rule was behind a wrong name; nobody else can know."""
        self.owned[rule] = held

    def prove(self) -> Proven:
        """Run the load and see whether the repair holds: shaken, under load, switched off again.

        Where nothing was mended yet there is nothing to prove, and no meter is read: it only shows
        what the load does.
        """
        self.proofs += 1
        circuit, proof = self.bench.circuit, self.exercise.proof
        if self.mended:
            self.proven = prove(circuit, proof, self.exercise.circuit)
        else:
            now = does(circuit.with_position(**proof.positions), proof.load)
            told = f"{proof.load} {now}. " if now else ""
            self.proven = Proven(False, f"{told}Nothing has been mended yet.", 1.0)
        return self.proven
