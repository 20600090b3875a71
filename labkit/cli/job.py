"""The owner's jobs: labkit boat new, labkit job new, seen, page, prove and log, practise."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from labkit.cli.help import Program
from labkit.cli.options import Overwrite
from labkit.cli.terminal import busy, out
from labkit.text.messages import CircuitError

JobFile = Annotated[Path, typer.Argument(metavar="FILE", help="The job, a .job.toml file.")]

EXAMPLE = 12.4
"""Volts of a 12 V battery at rest, to show how a reading is written. [V]"""

LONGEST_NOTES = 256 * 1024
"""Notes are a page of text. [bytes]"""

job_app = Program(
    no_args_is_help=True,
    help="Write down a real repair, step by step.\n\n"
    "Example: labkit job new pump.job.toml --boat mine.toml",
)
boat_app = Program(
    no_args_is_help=True, help="Describe a boat of your own.\n\nExample: labkit boat new mine.toml"
)


def register(app: typer.Typer) -> None:
    """Add the commands to the program."""
    app.add_typer(job_app, name="job")
    app.add_typer(boat_app, name="boat")
    app.command()(practise)


@boat_app.command("new")
def boat_new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The circuit file to write.")],
    start: Annotated[
        str,
        typer.Option(
            "--from",
            metavar="TEMPLATE",
            help="panel, water, fridge, bilge, windlass, lights or flat.",
        ),
    ] = "panel",
    overwrite: Overwrite = False,
) -> None:
    """Describe a circuit by answering questions; Enter where you do not know.

    Example: labkit boat new mine.toml --from water
    """
    from labkit.jobs.interview import interview, template, templates
    from labkit.text.files import refuse_existing, write

    text = template(start)
    refuse_existing([file], overwrite)
    others = ", ".join(name for name in templates() if name != start)
    out.print(f"Begun from '{start}'; with --from there are {others}.", soft_wrap=True)
    out.print("Press Enter where you do not know: the usual figure is taken, as one in doubt.")

    def ask(question: str) -> str:
        try:
            return str(typer.prompt(question, default="", show_default=False))
        except (EOFError, typer.Abort):
            return ""

    interview(text, ask, lambda made: write(file, made), lambda said: out.print(said))
    out.print(
        f"wrote {file}; change in it what is otherwise aboard, and see it with", soft_wrap=True
    )
    out.print(f"labkit draw {file}", soft_wrap=True)
    out.print("Begin a job on it with", soft_wrap=True)
    job = file.with_name(f"{file.stem}.job.toml")
    out.print(f'labkit job new {job} --boat {file} --complaint "M1 dead"', soft_wrap=True)


@job_app.command("new")
def job_new(
    file: JobFile,
    boat: Annotated[Path, typer.Option(metavar="FILE", help="The circuit file of the boat.")],
    load: Annotated[
        str, typer.Option(metavar="PART", help="The load the complaint is about, such as M1.")
    ] = "",
    complaint: Annotated[
        list[str] | None,
        typer.Option(metavar="COMPLAINT", help='Such as "dead", "slow", "E1 dips", "drains".'),
    ] = None,
    without: Annotated[
        list[str] | None,
        typer.Option(metavar="TOOL", help="A tool that is not aboard, such as clamp."),
    ] = None,
    out_of_reach: Annotated[
        list[str] | None, typer.Option(metavar="PART", help="A part nobody can get at.")
    ] = None,
    overwrite: Overwrite = False,
) -> None:
    """Begin a job.

    Example: labkit job new pump.job.toml --boat mine.toml --load M1 --complaint dead
    """
    import os
    from datetime import date

    from labkit.circuits.circuit_file import load_circuit
    from labkit.cli.boat import tools_lacking
    from labkit.jobs.job_file import Job, said_of, write_job
    from labkit.jobs.work import load_of
    from labkit.parts import Battery
    from labkit.text.files import refuse_existing

    refuse_existing([file], overwrite)
    circuit = load_circuit(boat)
    said = [_of_load(text, load) for text in complaint or []]
    job = Job(
        boat=Path(os.path.relpath(boat, file.parent)).as_posix(),
        load=load or load_of(said, circuit),
        started=date.today().isoformat(),
        complaint=said,
        without=tools_lacking(without or []),
        out_of_reach=out_of_reach or [],
    )
    said_of(job, circuit, str(file))
    write_job(file, job)
    out.print(f"wrote {file}", soft_wrap=True)
    out.print(
        "Make safe first: know how to cut the battery off, ventilate, take rings off. Then read "
        "the battery at rest, at its posts, and write it down:"
    )
    for id, part in circuit.parts.items():
        if isinstance(part, Battery):
            volts = f"{EXAMPLE * part.nominal(circuit.system) / 12:g}"
            out.print(f'labkit job seen {file} "{id}:+ {id}:- volts {volts}"', soft_wrap=True)


def _of_load(text: str, load: str) -> str:
    """A complaint with the load it is of, where it does not say so itself."""
    from labkit.ownboat.complaints import COMPLAINTS

    bare = text.strip() in COMPLAINTS and text.strip() not in ("drains", "opens", "hot")
    return f"{load} {text.strip()}" if bare and load else text.strip()


@job_app.command("seen")
def job_seen(
    file: JobFile,
    seen: Annotated[
        list[str] | None,
        typer.Argument(metavar="READING", help='What was read or seen: "4 DC- 12.3 V S2=on".'),
    ] = None,
    notes: Annotated[
        Path | None,
        typer.Option(
            "--from", metavar="NOTES", help="A text with a reading on each line; # is a note."
        ),
    ] = None,
    undo: Annotated[bool, typer.Option("--undo", help="Take the last one back.")] = False,
) -> None:
    """Write down what was seen, and say what remains.

    The notes of the page to take aboard can be given whole with --from; what stands there already
    is not written down twice.

    Example: labkit job seen pump.job.toml "X1:1 DC- volts 12.3 S2=on"
    """
    from labkit.jobs.work import Work

    with busy.status("weighing what was seen"):
        work = Work.at(file)
        if undo:
            work.undo()
        noted = _readings(notes) if notes else []
        new = [*(line for line in noted if line not in work.job.seen), *(seen or [])]
        if new:
            work.see(*new)
        found = work.weighed(len(new))
    for line in found.lines:
        out.print(line, soft_wrap=True)


def _readings(notes: Path) -> list[str]:
    """The readings in a text of notes, each once."""
    from labkit.text.plain_file import text_of

    lines = (line.strip() for line in text_of(notes, LONGEST_NOTES).splitlines())
    return list(dict.fromkeys(line for line in lines if line and not line.startswith("#")))


@job_app.command("page")
def job_page(
    file: JobFile,
    to: Annotated[
        Path | None,
        typer.Option("-o", "--out", metavar="FILE", help="What to write: a .pdf, or a .html."),
    ] = None,
    paper: Annotated[
        str, typer.Option(metavar="SIZE", help="Size of the paper: a4 or letter.")
    ] = "a4",
    steps: Annotated[
        int,
        typer.Option(metavar="NUMBER", min=1, max=400, help="Steps of the plan to work out."),
    ] = 40,
    overwrite: Overwrite = False,
) -> None:
    """Write the page to take aboard, as PDF or for a telephone.

    Drawing, make-safe, what a sound boat shows at each point and what the likeliest faults show,
    by your battery; the plan step by step; places to write. The HTML file needs no network.

    Example: labkit job page pump.job.toml --out pump.html
    """
    from labkit.handout import PAPERS
    from labkit.jobs.job_file import read_job
    from labkit.jobs.page import page_of
    from labkit.text.files import refuse_existing, write

    target = to or Path(file.name.removesuffix(".toml").removesuffix(".job") + ".pdf")
    if paper not in PAPERS:
        raise CircuitError([f"--paper {paper}: there are {' and '.join(PAPERS)}"])
    if target.suffix.lower() not in (".pdf", ".html"):
        raise CircuitError([f"--out {target}: name a .pdf, or a .html for a telephone"])
    refuse_existing([target], overwrite)
    with busy.status("working out what to measure, whatever it shows"):
        job, circuit, said = read_job(file)
        page = page_of(job, circuit, said, file.name, steps)
        made: str | bytes
        if target.suffix.lower() == ".html":
            from labkit.jobs.page_html import html_of

            made = html_of(page)
        else:
            from labkit.jobs.page_pdf import pdf_of

            made = pdf_of(page, paper)
    write(target, made)
    out.print(f"wrote {target}", soft_wrap=True)


@job_app.command("prove")
def job_prove(
    file: JobFile,
    source: Annotated[
        str, typer.Option(metavar="VOLTS", help="At the battery's posts while the load runs.")
    ],
    load: Annotated[str, typer.Option(metavar="VOLTS", help="Across the load, straight after.")],
    critical: Annotated[
        bool, typer.Option("--critical", help="Allow a loss of 3 %, not 10 %.")
    ] = False,
    part: Annotated[str, typer.Option(metavar="PART", help="The part that had failed.")] = "",
    what: Annotated[str, typer.Option(metavar="TEXT", help="What was done.")] = "",
    why: Annotated[str, typer.Option(metavar="TEXT", help="Why it had failed.")] = "",
    also: Annotated[str, typer.Option(metavar="TEXT", help="What else was found.")] = "",
) -> None:
    """Judge a repair by two voltages, and write it down.

    Example: labkit job prove pump.job.toml --source 12.21 --load 11.78 --part X1 --what "new ring"
    """
    from labkit.jobs.job_file import Done, Proof, read_job, write_job
    from labkit.jobs.proving import judge

    job, circuit, _ = read_job(file)
    verdict = judge(source, load, circuit.system, critical)
    if part:
        circuit.part(part)
    said = {"part": part, "what": what, "why": why, "also": also}
    done = Done(**{**job.done.model_dump(), **{k: v for k, v in said.items() if v}})
    proof = Proof(source=source, load=load)
    write_job(file, job.model_copy(update={"done": done, "proof": proof}))
    out.print(verdict.text, soft_wrap=True)
    if not verdict.ok:
        raise typer.Exit(1)


@job_app.command("log")
def job_log(file: JobFile) -> None:
    """Print the job as it is kept aboard.

    Example: labkit job log pump.job.toml
    """
    from labkit.jobs.job_file import read_job
    from labkit.jobs.log import log_lines

    job, circuit, _ = read_job(file)
    for line in log_lines(job, circuit):
        out.print(line, soft_wrap=True)


def practise(
    boat: Annotated[Path, typer.Argument(metavar="FILE", help="The circuit file of your boat.")],
    load: Annotated[
        str, typer.Option(metavar="PART", help="Deal a fault that this load shows.")
    ] = "",
    seed: Annotated[
        str,
        typer.Option(metavar="NAME", help="A name or number; the same one deals the same fault."),
    ] = "",
) -> None:
    """Hunt an unseen fault on a boat like yours.

    What your file leaves in doubt about her is settled by chance.

    Type what you want to measure, such as X1:1 DC- volts S2=on, and the boat answers. Type 'name X1
    open' to say what is wrong, 'give up' to be told.

    Example: labkit practise mine.toml --load M1
    """
    from labkit.circuits.circuit_file import load_circuit
    from labkit.jobs.practice import Practice

    with busy.status("dealing a fault"):
        play = Practice(load_circuit(boat), load, seed)
    out.print(play.opening(), soft_wrap=True)
    while not play.over:
        try:
            typed = str(typer.prompt("measure", default="", show_default=False)).strip()
        except (EOFError, typer.Abort):
            typed = "give up"
        if typed:
            try:
                out.print(play.do(typed), soft_wrap=True)
            except CircuitError as error:
                out.print(error.problems[0], soft_wrap=True)
