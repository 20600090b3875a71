"""At work on a job: what was seen is written down, weighed, and answered with what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.diagnosis.cost import Visit
from labkit.jobs.job_file import Job, read_job, said_of, write_job
from labkit.jobs.practice import Practice
from labkit.ownboat.advice import Adviser
from labkit.ownboat.boat import Boat
from labkit.ownboat.inference import Inference
from labkit.ownboat.remains import Remains, fallen, remains
from labkit.ownboat.remarks import Said
from labkit.ownboat.words import fault_words, numbered, sentences
from labkit.parts.traits import Trait
from labkit.text.messages import CircuitError

ADVISED = 3
_NAMED = 6  # of those that fell, so many are named

PROVE = "Isolate it before you mend it; then prove it under load."


@dataclass(frozen=True)
class Weighed:
    """What is left of a job, and what fell by what was seen last.

    Attributes
    ----------
    found : Remains
    inference : Inference
    fell : list of str
    """

    found: Remains
    inference: Inference
    fell: list[str]

    @property
    def ruled_out(self) -> str:
        """What fell by the last that was seen, in a sentence; '' where nothing did."""
        more = f" and {len(self.fell) - _NAMED} more" if len(self.fell) > _NAMED else ""
        return f"Ruled out by this: {', '.join(self.fell[:_NAMED])}{more}." if self.fell else ""

    @property
    def lines(self) -> list[str]:
        """All of it in words, a line each."""
        return [
            *([self.ruled_out] if self.fell else []),
            *sentences(self.found, self.inference),
            *numbered(self.found.next, self.inference),
            *([PROVE] if self.found.settled else []),
        ]


class Work:
    """A job somebody is at.

    Parameters
    ----------
    job : Job
    circuit : Circuit
    path : Path, optional
        Where it is written down after every change.
    practice : Practice, optional
        The boat that answers, where it is none of wood.
    """

    def __init__(
        self,
        job: Job,
        circuit: Circuit,
        path: Path | None = None,
        practice: Practice | None = None,
    ) -> None:
        self.circuit, self.path, self.practice = circuit, path, practice
        self._advisers: dict[object, Adviser] = {}
        self._take(job)

    @classmethod
    def at(cls, path: Path) -> Work:
        """Go on with a job that is written down."""
        job, circuit, _ = read_job(path)
        return cls(job, circuit, path)

    def _take(self, job: Job) -> None:
        where = str(self.path or job.boat)
        self.said: list[Said] = said_of(job, self.circuit, where)
        self.job = job

    def _change(self, **changed: object) -> None:
        self._take(self.job.model_copy(update=changed))
        if self.path is not None:
            write_job(self.path, self.job)

    def see(self, *texts: str) -> None:
        """Write down what was seen; in practice the boat says what is seen of what is asked.

        Raises
        ------
        CircuitError
            If one cannot be read; then none is written down.
        """
        if self.practice is not None:
            texts = tuple(self.practice.measure(text) for text in texts)
        self._change(seen=[*self.job.seen, *texts])

    def undo(self) -> None:
        """Take the last one back."""
        self._change(seen=self.job.seen[:-1])

    def cannot_reach(self, id: str) -> None:
        """Nobody gets at this part."""
        if id not in self.job.out_of_reach:
            self._change(out_of_reach=[*self.job.out_of_reach, id])

    def weighed(self, last: int = 0) -> Weighed:
        """Weigh everything.

        Parameters
        ----------
        last : int
            So many of the last readings are new: what fell by them is told.
        """
        adviser = self._adviser_now()
        boat = adviser.boat
        inference = Inference(boat).see(*self.said)
        visit = Visit.after(boat.circuit, inference.evidence)
        found = remains(adviser, inference, visit, ADVISED)
        old = len(self.said) - last
        fell = [
            fault_words(name, self.circuit)
            for name, by in (fallen(inference, self.said) if last else {}).items()
            if by > old
        ]
        return Weighed(found, inference, fell)

    def _adviser_now(self) -> Adviser:
        """The adviser for the tools and places there are; made anew only when they change."""
        asked = (tuple(self.job.without), tuple(self.job.out_of_reach))
        if asked not in self._advisers:
            self._advisers = {asked: Adviser(Boat(self.circuit, *asked))}
        return self._advisers[asked]


def load_of(complaint: Sequence[str], circuit: Circuit) -> str:
    """The load a complaint is of, as far as it names one."""
    for text in complaint:
        id = text.strip().partition(" ")[0]
        if id in circuit.parts and Trait.LOAD in circuit.parts[id].traits:
            return id
    return ""


def practising(circuit: Circuit, load: str, seed: str, without: Sequence[str] = ()) -> Work:
    """A job on a boat drawn from the doubts about one's own, with an unseen fault."""
    practice = Practice(circuit, load, seed)
    job = Job(
        boat=circuit.file or circuit.title, load=load, without=list(without), seen=practice.shown()
    )
    return Work(job, circuit, practice=practice)


def begun(
    path: Path, boat: str, complaint: Sequence[str], without: Sequence[str], load: str, started: str
) -> Work:
    """Begin a job, or go on with the one that is there.

    Raises
    ------
    CircuitError
        If there is none and no boat is named.
    """
    if path.is_file():
        return Work.at(path)
    if not boat:
        raise CircuitError([f"{path}: is not there yet; name the boat's file to begin it"])
    circuit = load_circuit(path.parent / boat)
    job = Job(
        boat=boat,
        load=load or load_of(complaint, circuit),
        started=started,
        complaint=list(complaint),
        without=list(without),
    )
    work = Work(job, circuit, path)
    write_job(path, job)
    return work
