"""Choose the repair and prove it; say what made it fail."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from labkit.aboard.bench import Bench
from labkit.aboard.safety.heat import hot_wires
from labkit.circuits.circuit import Circuit
from labkit.exercises.exercise import Dealt, Exercise
from labkit.exercises.proving import Proven, prove
from labkit.measuring.meter import Hazard
from labkit.parts import Trait
from labkit.questions.fields import Field, OneOf, same
from labkit.questions.sorting import Remains
from labkit.questions.verdict import Verdict, wrong
from labkit.solving.solver import solve


@dataclass(frozen=True)
class Repair:
    """Choose what is done about a fault, and how it is proven.

    Parameters
    ----------
    exercise : Exercise
    dealt : Dealt
        Of that exercise.
    repairs : mapping of str to sequence of str
        What may be done, and the acts it takes at a bench: 'repair X1', 'fit F2', 'fit F2 40 A'.
    proofs : mapping of str to mapping
        How it may be proven, and the positions of switches in which that is done.
    """

    exercise: Exercise
    dealt: Dealt
    repairs: Mapping[str, Sequence[str]]
    proofs: Mapping[str, Mapping[str, str]]
    ask: str = "What do you do about it, and how do you prove that it is done?"

    @property
    def fields(self) -> tuple[Field, ...]:
        """What may be done, and how it may be proven."""
        repairs, proofs = same(tuple(self.repairs)), same(tuple(self.proofs))
        return OneOf(repairs, "I do"), OneOf(proofs, "and prove it")

    def grade(self, repair: str, proof: str) -> Verdict:
        """Grade a repair by doing it, and a proof by what it would show of this repair."""
        for said, known in ((repair, self.repairs), (proof, self.proofs)):
            if said not in known:
                return Verdict(None, f"'{said}' is none of the answers.")
        bench = Bench(self.dealt.circuit)
        for act in self.repairs[repair]:
            _done(bench, act)
        proven = self._prove(bench, self.exercise.proof.positions)
        dangers = [h for h in bench.hazards if h.kind in ("fuse too big", "hot wire")]
        if dangers or not proven.ok:
            text = dangers[0].text if dangers else proven.text
            return wrong(text, self._slip(bench, dangers, self.repairs[repair]))
        tried = self._prove(bench, self.proofs[proof])
        if not tried.ok:
            slip = "volts without load" if self._idle(bench, proof) else ""
            return wrong(f"The repair is right, but that does not prove it: {tried.text}", slip)
        return Verdict(True, f"{tried.text} {self.dealt.cause}".strip())

    def _prove(self, bench: Bench, positions: Mapping[str, str]) -> Proven:
        proof = replace(self.exercise.proof, positions=positions)
        return prove(bench.circuit, proof, self.exercise.circuit)

    def _idle(self, bench: Bench, proof: str) -> bool:
        """Tell whether the load draws nothing in the way it is to be proven."""
        now = bench.circuit.with_position(**self.proofs[proof])
        return abs(solve(now).amps.get(self.exercise.proof.load) or 0.0) < 1e-3

    def _slip(self, bench: Bench, dangers: Sequence[Hazard], acts: Sequence[str]) -> str:
        """Return the idea behind a repair that does not hold."""
        if dangers:
            return "bigger fuse"
        parts = {act.split()[1] for act in acts}
        if any(fault.at(id) for fault in self.dealt.causes for id in parts):
            left = [f for f in self.dealt.circuit.faults if not any(map(f.at, parts))]
            return "stops at the first find" if left else ""
        if any(bench.circuit.state_of(id).has("blown") for id in parts):
            return "fuse without the cause"
        loads = any(Trait.LOAD in self.exercise.circuit.part(id).traits for id in parts)
        return "blames the load" if loads else ""


def _done(bench: Bench, act: str) -> None:
    action, id, *rating = act.split(maxsplit=2)
    if rating:
        bench.act(action, id=id, rating=rating[0])
    else:
        bench.act(action, id=id)


@dataclass(frozen=True)
class Cause:
    """What made a part fail?

    A cause is right where it makes the part fail on this boat, and nothing seen speaks against it.

    Parameters
    ----------
    circuit : Circuit
        Healthy, its switches as they were when it happened.
    part : str
        A fuse or breaker that has opened, a relay that chatters, a wire that got hot.
    causes : mapping of str to sequence of str
        What may have been the cause, and the faults it is: 'M1 seized'.
    seen : sequence of str
        What was read afterwards, such as 'M1:1 M1:2 ohms 0.6 ohm M1:1=parted'.
    """

    circuit: Circuit
    part: str
    causes: Mapping[str, Sequence[str]]
    seen: Sequence[str] = ()
    ask: str = ""
    answers: Sequence[str] = field(init=False)

    def __post_init__(self) -> None:
        if not self.ask:
            told = Remains(self.circuit, self.seen, ()).told
            object.__setattr__(self, "ask", f"{told} What made {self.part} fail?")
        object.__setattr__(self, "answers", tuple(self.causes))

    @property
    def fields(self) -> tuple[Field, ...]:
        """The causes, to choose one."""
        return (OneOf(same(self.answers)),)

    def grade(self, answer: str) -> Verdict:
        """Grade one of the causes by letting it happen."""
        if answer not in self.causes:
            return Verdict(None, f"'{answer}' is none of the answers.")
        faults = self.causes[answer]
        boat = self.circuit.with_fault(*faults)
        point = solve(boat)
        fails = self.part in (*point.opened, *point.chattering, *hot_wires(boat, point))
        if not fails:
            amps = abs(point.amps.get(self.part) or 0.0)
            return wrong(f"With that, {self.part} carries {amps:.1f} A and would be as it was.")
        why = Remains(self.circuit, self.seen, ()).falls(*faults)
        if why:
            return wrong(f"It would do that to {self.part}. But {why}.")
        return Verdict(True, f"Do it, and {self.part} fails; and nothing read speaks against it.")
