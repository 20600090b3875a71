"""The commands that size a wire and survey a boat: size, survey."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from labkit.cli.terminal import out
from labkit.text.messages import CircuitError

if TYPE_CHECKING:
    from labkit.circuits.circuit import Circuit


def register(app: typer.Typer) -> None:
    """Add the commands to the program."""
    for command in (size, survey):
        app.command()(command)


def size(
    boat: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="A circuit file: every wire of it is sized."),
    ] = None,
    load: Annotated[
        str, typer.Argument(metavar="PART", help="Only the wires that lead to this load.")
    ] = "",
    current: Annotated[
        str, typer.Option(metavar="CURRENT", help='What flows, such as "5 A".')
    ] = "",
    length: Annotated[
        str, typer.Option(metavar="LENGTH", help='One way, such as "6 m" or "20 ft".')
    ] = "",
    system: Annotated[str, typer.Option(metavar="VOLTS", help="Nominal voltage.")] = "12 V",
    drop: Annotated[
        str, typer.Option(metavar="SHARE", help="What may be lost, out and back together.")
    ] = "3 %",
    insulation: Annotated[
        str, typer.Option(metavar="TEMPERATURE", help="What the insulation withstands.")
    ] = "105 degC",
    bundle: Annotated[
        int,
        typer.Option(
            metavar="NUMBER", min=1, help="Wires that carry current in one bundle, this one too."
        ),
    ] = 1,
    engine_space: Annotated[
        bool, typer.Option("--engine-space", help="The wire lies in an engine space.")
    ] = False,
    fuse: Annotated[
        str, typer.Option(metavar="RATING", help="The fuse that guards it, if there is one.")
    ] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON instead of words.")] = False,
) -> None:
    """Print which wire and fuse a load needs.

    Or, of a circuit file, which of its wires are too thin.

    Example: labkit size --current "5 A" --length "6 m" --drop "3 %"
    """
    if boat is not None:
        _size_boat(boat, load, as_json)
        return
    from labkit.survey.asked import wanted_from
    from labkit.survey.sizing import as_json_of, sentences
    from labkit.survey.sizing import size as sized

    if not current or not length:
        raise CircuitError(
            [
                'size needs --current and --length, such as --current "5 A" --length "6 m", '
                "or a circuit file"
            ]
        )
    texts = {
        "current": current,
        "length": length,
        "system": system,
        "drop": drop,
        "insulation": insulation,
        "fuse": fuse,
    }
    wanted = wanted_from(texts, bundle, engine_space, where="--", bare=True)
    found = sized(wanted)
    if as_json:
        sys.stdout.write(json.dumps(as_json_of(found), indent=2) + "\n")
        return
    for line in (*sentences(found), "Rules:", *(f"  {source}" for source in found.sources)):
        out.print(line, soft_wrap=True)


def survey(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", help="A circuit file, or an exercise (then its circuit)."),
    ],
) -> None:
    """Print what a survey of a circuit finds.

    Each rule broken, where, whom it binds, and what would put it right.

    Example: labkit survey exercises/circuits/two-batteries.toml
    """
    from labkit.survey.report import report
    from labkit.survey.survey import survey as surveyed

    for line in report(surveyed(_circuit(file))):
        out.print(line, soft_wrap=True)


def _circuit(file: Path) -> Circuit:
    from labkit.circuits.circuit import Circuit
    from labkit.exercises.files import load

    loaded = load(file)
    return loaded if isinstance(loaded, Circuit) else loaded.circuit


def _size_boat(boat: Path, load: str, as_json: bool) -> None:
    from labkit.survey.boat_wires import boat_wires, not_sized

    circuit = _circuit(boat)
    wires = boat_wires(circuit, load)
    if as_json:
        sys.stdout.write(json.dumps([wire.as_json() for wire in wires], indent=2) + "\n")
        return
    for wire in wires:
        out.print(wire.line, soft_wrap=True)
    if not load and (others := not_sized(circuit, wires)):
        text = "Not sized, since no rated load hangs on them (coils, instruments, a starter): "
        out.print(text + ", ".join(others), soft_wrap=True)
    thin = [wire.id for wire in wires if wire.too_thin]
    out.print("Too thin: " + ", ".join(thin) if thin else "No wire is too thin.", soft_wrap=True)
