"""A hunt: one dealt exercise, from the complaint to a repair proven under load."""

from __future__ import annotations

from labkit.bench import Bench
from labkit.exercise import Dealt, Exercise, Proven, prove
from labkit.questions import NameFault, Verdict


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
    verdicts : list of Verdict
        What was named so far, and how right it was.
    answers : list of str
        What was named, as part and mode.
    proven : Proven or None
        The last proof tried.
    """

    def __init__(self, exercise: Exercise, name: str = "") -> None:
        self.exercise = exercise
        self.dealt: Dealt = exercise.deal(name)
        self.bench = Bench(self.dealt.circuit)
        self.verdicts: list[Verdict] = []
        self.answers: list[str] = []
        self.proven: Proven | None = None

    def __repr__(self) -> str:
        return f"<Hunt {self.exercise.title!r}: {self.state}>"

    @property
    def question(self) -> NameFault:
        """Which part, and how?"""
        return NameFault(self.dealt)

    @property
    def state(self) -> str:
        """How far it has come, in a phrase."""
        if self.proven is not None and self.proven.ok:
            return f"proven after {self.bench.minutes:.0f} min"
        named = any(v.right for v in self.verdicts)
        return f"{'named' if named else 'open'}, {self.bench.minutes:.0f} min so far"

    def name(self, part: str, mode: str) -> Verdict:
        """Name the fault."""
        question = self.question
        verdict = question.grade(part, mode)
        self.verdicts.append(verdict)
        self.answers.append(f"{part} {question.modes.get(mode, mode)}")
        return verdict

    def prove(self) -> Proven:
        """Run the load and see whether the repair holds: shaken, under load, switched off again."""
        self.proven = prove(self.bench.circuit, self.exercise.proof, self.exercise.circuit)
        return self.proven

    @property
    def review(self) -> list[str]:
        """What there is to say of the hunt as it stands, a sentence each."""
        bench, par = self.bench, self.exercise.par / 60
        said = [
            f"{len(bench.readings)} readings in {bench.minutes:.0f} minutes; "
            f"a practised person takes about {par:.0f}."
        ]
        wrong = sum(v.right is False for v in self.verdicts)
        if wrong:
            said.append(f"{wrong} wrong part{'s' if wrong > 1 else ''} named on the way.")
        kinds = dict.fromkeys(h.kind for h in bench.hazards)
        said += [next(h.text for h in bench.hazards if h.kind == kind) for kind in kinds]
        if self.proven is not None:
            said.append(self.proven.text)
            if self.proven.ok and self.dealt.cause:
                said.append(f"Why it failed: {self.dealt.cause}")
        return said
