"""A job as it is kept aboard: what was complained of, seen, done and proven."""

from __future__ import annotations

from labkit.circuits.circuit import Circuit
from labkit.jobs.job_file import Job
from labkit.jobs.proving import judge


def log_lines(job: Job, circuit: Circuit) -> list[str]:
    """A job in words, a line each."""
    lines = [f"{circuit.title}, {job.started or 'no date'}"]
    lines += [f"  complaint: {text}" for text in job.complaint]
    lines += [f"  seen:      {text}" for text in job.seen]
    lines += [f"  {key + ':':10} {text}" for key, text in job.done.model_dump().items() if text]
    if job.proof.source and job.proof.load:
        said = judge(job.proof.source, job.proof.load, circuit.system).text
        lines += [
            f"  proof:     {job.proof.source} at the battery, {job.proof.load} at the load",
            f"             {said}",
        ]
    else:
        lines.append("  proof:     none yet; read source and load while it runs")
    return lines
