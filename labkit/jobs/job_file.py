"""A job as a file: the boat, the complaint, what was seen, what was done, and the proof.

A file is written whole or not at all after every change, so that a crash loses nothing that was
said; it can be read and changed by hand.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.ownboat.complaints import parse_complaint
from labkit.ownboat.remarks import Said, parse_said
from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml
from labkit.text.wording import sentences


class Done(BaseModel):
    """What was found and done."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    part: str = ""
    what: str = ""
    why: str = ""
    also: str = ""


class Proof(BaseModel):
    """Voltages at the battery's posts and across the load while it runs, as they were read."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    source: str = ""
    load: str = ""


class Job(BaseModel):
    """One job on one boat.

    Attributes
    ----------
    boat : str
        The circuit file, from where the job's file lies.
    load : str
        Id of the load that is complained of; '' where it is none.
    complaint, seen : list of str
        As said and as read, in order.
    without : list of str
        Tools that are not aboard.
    out_of_reach : list of str
        Parts nobody can get at.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    boat: str
    load: str = ""
    started: str = ""
    complaint: list[str] = Field(default_factory=list)
    without: list[str] = Field(default_factory=list)
    out_of_reach: list[str] = Field(default_factory=list)
    seen: list[str] = Field(default_factory=list)
    done: Done = Done()
    proof: Proof = Proof()


def read_job(path: Path) -> tuple[Job, Circuit, list[Said]]:
    """Read a job, its boat, and all that was said and seen.

    Raises
    ------
    CircuitError
        With everything that is wrong, a sentence each.
    """
    table = read_toml(path)
    try:
        job = Job.model_validate(table)
    except ValidationError as error:
        raise CircuitError([f"{path}: {text}" for text in sentences(error, Job, "a job")]) from None
    circuit = load_circuit(path.parent / job.boat)
    return job, circuit, said_of(job, circuit, str(path))


def said_of(job: Job, circuit: Circuit, where: str) -> list[Said]:
    """What was said and seen in a job. Raises CircuitError with every line that cannot be read."""
    found: list[Said] = []
    problems: list[str] = []
    for id in [*job.out_of_reach, *([job.load] if job.load else [])]:
        try:
            circuit.part(id)
        except CircuitError as error:
            problems += error.problems
    for text in job.complaint:
        try:
            found.append(parse_complaint(text, circuit))
        except CircuitError as error:
            try:
                found += parse_said(text, circuit)
            except CircuitError:
                problems += error.problems
    for text in job.seen:
        try:
            found += parse_said(text, circuit)
        except CircuitError as error:
            problems += error.problems
    if problems:
        raise CircuitError([f"{where}: {problem}" for problem in problems])
    return found


def write_job(path: Path, job: Job) -> None:
    """Write a job, whole or not at all."""
    write(path, job_text(job))


def job_text(job: Job) -> str:
    """A job as TOML."""
    lines = [f"boat = {_text(job.boat)}"]
    lines += [f"{key} = {_text(getattr(job, key))}" for key in ("load", "started")
              if getattr(job, key)]  # fmt: skip
    for key in ("complaint", "without", "out_of_reach"):
        values = getattr(job, key)
        if values:
            lines.append(f"{key} = [{', '.join(map(_text, values))}]")
    lines += ["seen = [", *(f"  {_text(text)}," for text in job.seen), "]"]
    for name in ("done", "proof"):
        keys = {k: v for k, v in getattr(job, name).model_dump().items() if v}
        if keys:
            lines += ["", f"[{name}]", *(f"{k} = {_text(v)}" for k, v in keys.items())]
    return "\n".join(lines) + "\n"


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)  # what JSON escapes, TOML escapes alike
