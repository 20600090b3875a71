"""The owner's commands: remains, and those of a job."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated

import typer

from labkit.cli.terminal import busy, out
from labkit.text.messages import CircuitError

Seen = Annotated[
    list[str] | None,
    typer.Option(
        "--seen",
        metavar="READING",
        help='What was seen: "X1:1 DC- volts 12.6 V S2=on". Repeatable.',
    ),
]
Without = Annotated[
    list[str] | None,
    typer.Option(
        "--without", metavar="TOOL", help="A tool that is not aboard, such as clamp. Repeatable."
    ),
]


def register(app: typer.Typer) -> None:
    """Add the commands to the program."""
    app.command()(remains)


def tools_lacking(without: list[str]) -> list[str]:
    """Check names of tools that are not aboard."""
    from labkit.jobs.job_file import tools_unknown

    if problems := tools_unknown(without, "--without"):
        raise CircuitError(problems)
    return without


def remains(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="A circuit file; its figures may be in doubt.")
    ],
    complaint: Annotated[
        list[str] | None,
        typer.Option(
            "--complaint",
            metavar="COMPLAINT",
            help='Such as "M1 dead", "E1 dips", "drains". Repeatable.',
        ),
    ] = None,
    seen: Seen = None,
    without: Without = None,
    top: Annotated[
        int, typer.Option(metavar="NUMBER", min=1, help="How many measurements to advise.")
    ] = 3,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON.")] = False,
) -> None:
    """Say what is left after what was seen aboard.

    Says too how well it fits the drawing, and what to measure next.

    Example: labkit remains mine.toml --complaint "M1 dead" --seen "G1:+ G1:- volts 12.31 V"
    """
    from labkit.circuits.circuit import Circuit
    from labkit.diagnosis.cost import Visit
    from labkit.exercises.files import load
    from labkit.ownboat.advice import Adviser
    from labkit.ownboat.boat import Boat
    from labkit.ownboat.complaints import parse_complaint
    from labkit.ownboat.inference import Inference
    from labkit.ownboat.remains import fallen
    from labkit.ownboat.remains import remains as what_is_left
    from labkit.ownboat.remarks import Said, parse_said
    from labkit.ownboat.words import data, numbered, sentences

    loaded = load(file)
    circuit = loaded if isinstance(loaded, Circuit) else loaded.circuit
    said: list[Said] = []
    problems: list[str] = []
    number_of: list[int] = []
    for text in complaint or []:
        try:
            said.append(parse_complaint(text, circuit))
        except CircuitError:
            try:
                said += parse_said(text, circuit)
            except CircuitError:
                problems += _complaint_problem(text, circuit)
    complaints = len(said)
    for n, text in enumerate(seen or [], 1):
        try:
            more = parse_said(text, circuit)
        except CircuitError as error:
            problems += error.problems
            continue
        said += more
        number_of += [n] * len(more)
    try:
        lacking = tools_lacking(without or [])
    except CircuitError as error:
        problems += error.problems
    if problems:
        raise CircuitError(problems)
    with busy.status("weighing what was seen"):
        boat = Boat(circuit, lacking)
        adviser, inference = Adviser(boat), Inference(boat).see(*said)
        visit = Visit.after(boat.circuit, inference.evidence)
        found = what_is_left(adviser, inference, visit, top)
    if as_json:
        steps = fallen(inference, said)
        struck = {
            name: number_of[by - complaints - 1] for name, by in steps.items() if by > complaints
        }
        sys.stdout.write(json.dumps(data(found, inference, struck), indent=2) + "\n")
        return
    for line in sentences(found, inference):
        out.print(line, soft_wrap=True)
    for line in numbered(found.next, inference):
        out.print(line, soft_wrap=True)


def _complaint_problem(text: str, circuit: object) -> list[str]:
    from labkit.circuits.circuit import Circuit
    from labkit.ownboat.complaints import parse_complaint

    assert isinstance(circuit, Circuit)
    try:
        parse_complaint(text, circuit)
    except CircuitError as error:
        return list(error.problems)
    return []
