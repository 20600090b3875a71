"""Arguments that many commands take: a circuit and the state it is brought into."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from labkit.text.messages import CircuitError

if TYPE_CHECKING:
    from labkit.circuits.circuit import Circuit
    from labkit.exercises.exercise import Exercise
    from labkit.exercises.surveys import SurveyExercise
    from labkit.solving.solver import OperatingPoint

File = Annotated[
    Path,
    typer.Argument(metavar="FILE", help="A circuit file, or an exercise, whose circuit is taken."),
]
Faults = Annotated[
    list[str] | None,
    typer.Option(
        "--fault", metavar="FAULT", help='Add a fault, such as "X1 resistance 0.8 ohm". Repeatable.'
    ),
]
Sets = Annotated[
    list[str] | None,
    typer.Option(
        "--set", metavar="PART=POSITION", help="Move a switch or a plug, such as S2=on. Repeatable."
    ),
]
Parts = Annotated[
    list[str] | None,
    typer.Option(
        "--part",
        metavar="TERMINAL",
        help="Take a connection apart at a terminal, such as X1:2. Repeatable.",
    ),
]
Names = Annotated[
    list[str] | None,
    typer.Option(
        "--class",
        metavar="NAMES",
        help="A text file with a name on each line, or a name. Repeatable.",
    ),
]
Overwrite = Annotated[bool, typer.Option("--overwrite", help="Replace what is there.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of tables.")]


def circuit_of(
    file: Path, faults: list[str] | None, sets: list[str] | None, parts: list[str] | None
) -> Circuit:
    """Read a circuit, or an exercise's healthy one, and bring it into the state asked for."""
    from labkit.circuits.circuit_file import load_circuit
    from labkit.text.toml_file import read_toml

    if "circuit" not in read_toml(file):  # exercises take a while to load, and are not needed
        return brought(load_circuit(file), faults, sets, parts)
    from labkit.exercises.files import load

    return brought(load(file), faults, sets, parts)


def brought(
    loaded: Circuit | Exercise | SurveyExercise,
    faults: list[str] | None,
    sets: list[str] | None,
    parts: list[str] | None,
) -> Circuit:
    """Bring a circuit, or an exercise's healthy one, into the state asked for."""
    from labkit.circuits.circuit import Circuit

    circuit = loaded if isinstance(loaded, Circuit) else loaded.circuit
    problems: list[str] = []

    def tried(change: Callable[[Circuit], Circuit]) -> None:
        nonlocal circuit
        try:
            circuit = change(circuit)
        except CircuitError as error:
            problems.extend(error.problems)

    for fault in faults or []:
        tried(lambda c, fault=fault: c.with_fault(fault))  # type: ignore[misc]
    for text in sets or []:
        id, equals, word = text.partition("=")
        if not equals:
            problems.append(f'--set {text}: write the part and its position, such as "S2=on"')
            continue
        tried(lambda c, id=id, word=word: c.with_position(**{id.strip(): word.strip()}))  # type: ignore[misc]
    for terminal in parts or []:
        tried(lambda c, terminal=terminal: c.with_parted(terminal))  # type: ignore[misc]
    if problems:
        raise CircuitError(problems)
    return circuit


def as_json_of(point: OperatingPoint) -> dict[str, Any]:
    """Return an operating point as plain data."""
    data: dict[str, Any] = {
        "volts": dict(point.volts),
        "amps": dict(point.amps),
        "watts": dict(point.watts),
        "speeds": dict(point.speeds),
        "states": dict(point.states),
        "floating": list(point.floating),
        "chattering": list(point.chattering),
    }
    doubts = {
        id: {key: {"written": d.text, "taken": d.taken} for key, d in p.doubts.items()}
        for id, p in point.circuit.parts.items()
        if p.doubts
    }
    if doubts:
        data["doubts"] = doubts
    return data
