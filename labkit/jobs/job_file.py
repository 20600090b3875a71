"""A job as a file: the boat, the complaint, what was seen, what was done, and the proof.

A file is written whole or not at all after every change, so that a crash loses nothing that was
said; it can be read and changed by hand.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.diagnosis.evidence import senses
from labkit.jobs.proving import volts
from labkit.measuring.meter import FUNCTIONS
from labkit.ownboat.complaints import parse_complaint
from labkit.ownboat.remarks import Said, parse_said
from labkit.text.files import write
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.toml_file import read_toml
from labkit.text.wording import sentences


class Done(BaseModel):
    """What was found and done."""

    model_config = ConfigDict(frozen=True, extra="forbid", coerce_numbers_to_str=True)
    part: str = ""
    what: str = ""
    why: str = ""
    also: str = ""


class Proof(BaseModel):
    """Voltages at the battery's posts and across the load while it runs, as they were read."""

    model_config = ConfigDict(frozen=True, extra="forbid", coerce_numbers_to_str=True)
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

    @field_validator("complaint", "without", "out_of_reach", "seen", mode="before")
    @classmethod
    def _one_is_a_list(cls, given: object) -> object:
        return [given] if isinstance(given, str) else given

    @field_validator("started", mode="before")
    @classmethod
    def _day(cls, given: object) -> object:
        return given.isoformat() if isinstance(given, date) else given


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
    try:
        circuit = load_circuit(path.parent / job.boat)
    except CircuitError as error:
        where = f"{path}, boat: " if not (path.parent / job.boat).is_file() else ""
        raise CircuitError([f"{where}{problem}" for problem in error.problems]) from None
    return job, circuit, said_of(job, circuit, str(path))


def said_of(job: Job, circuit: Circuit, where: str) -> list[Said]:
    """What was said and seen in a job.

    Raises
    ------
    CircuitError
        With everything in it that does not go with the boat, or cannot be read.
    """
    found: list[Said] = []
    problems = [*_strangers(job, circuit), *tools_unknown(job.without, "without"), *_volts(job)]
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


def _strangers(job: Job, circuit: Circuit) -> list[str]:
    """Parts that are named and not aboard."""
    named = [("load", job.load), ("done.part", job.done.part)]
    named += [("out_of_reach", id) for id in job.out_of_reach]
    return [
        f"{key}: no part '{id}' in {job.boat}; {did_you_mean(id, circuit.parts)}"
        for key, id in named
        if id and id not in circuit.parts
    ]


def tools_unknown(words: Iterable[str], key: str) -> list[str]:
    """Names of tools that are none, a sentence each."""
    known = [*FUNCTIONS, *senses()]
    return [
        f"{key} {word}: is not a tool or an act here; {did_you_mean(word, known, len(known))}"
        for word in words
        if word not in known
    ]


def _volts(job: Job) -> list[str]:
    problems = []
    for key, text in job.proof.model_dump().items():
        try:
            volts(text or "0", f"proof.{key}")
        except CircuitError as error:
            problems += error.problems
    return problems


def write_job(path: Path, job: Job) -> None:
    """Write a job, whole or not at all."""
    write(path, job_text(job))


def job_text(job: Job) -> str:
    """A job as TOML."""
    lines = [f"boat = {_text(job.boat)}"]
    lines += [
        f"{key} = {_text(getattr(job, key))}" for key in ("load", "started") if getattr(job, key)
    ]
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
