"""The commands: open, solve, read, rank, check, draw, and those of the instructor's desk."""

from __future__ import annotations

import json
import shlex
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Literal

import typer

from labkit.cli.help import Program
from labkit.cli.options import AsJson, Faults, File, Parts, Sets, as_json_of
from labkit.cli.options import brought as _in_state
from labkit.cli.options import circuit_of as _circuit
from labkit.cli.rooms import register
from labkit.cli.terminal import busy, forgive, new_table, out, with_progress
from labkit.text.messages import CircuitError, NoConvergenceError, printable, unprintable

_INTERRUPTED = 130
"""What a command that was stopped by Ctrl-C ends with."""

app = Program(
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    help="Practise finding faults in a boat's DC electrics.",
)


def main() -> None:
    """Run a command; say what is wrong in plain sentences, without a traceback."""
    forgive()
    try:
        for word in sys.argv[1:]:
            if unprintable(word):
                raise CircuitError([f"{printable(word)}: is not text; write it in UTF-8"])
        app()
    except CircuitError as error:
        for problem in error.problems:
            sys.stderr.write(f"{problem}\n")
        sys.exit(1)
    except NoConvergenceError as error:
        sys.stderr.write(f"{error}\n")
        sys.exit(1)
    except SystemExit as end:
        if end.code == _INTERRUPTED:
            sys.stderr.write("stopped; nothing is left half written\n")
        raise


def command(line: str) -> None:
    """Run a command from a notebook and print what a terminal would show.

    Parameters
    ----------
    line : str
        As typed, such as "labkit check exercises".
    """
    words = shlex.split(line)
    try:
        app(words[1:] if words[:1] == ["labkit"] else words, standalone_mode=False)
    except (CircuitError, NoConvergenceError) as error:
        out.print(str(error), soft_wrap=True)


def _number(value: float | None, unit: str) -> str:
    from labkit.text.quantities import show

    return "-" if value is None else show(value, unit)


@app.command("open")
def open_(
    folder: Annotated[
        Path | None,
        typer.Argument(
            metavar="FOLDER", help="Copy the course into this folder; your own work there stays."
        ),
    ] = None,
    options: Annotated[
        list[str] | None,
        typer.Argument(metavar="OPTIONS", help="What stands behind -- is passed on to Jupyter."),
    ] = None,
) -> None:
    """Start JupyterLab on the first notebook.

    Example: labkit open my-course -- --no-browser
    """
    from labkit.classroom.course import PARTS, lay
    from labkit.cli.course import start

    here, passed = folder, list(options or [])
    if here is not None and str(here).startswith("-"):
        here, passed = None, [str(here), *passed]
    if here is not None:
        for sentence in lay(here):
            out.print(sentence, soft_wrap=True)
    elif not any(Path(PARTS[0]).glob("*.ipynb")):
        raise CircuitError(
            [
                f"{Path.cwd()}: no notebooks here; name a folder to copy the course into, such as "
                "labkit open my-course"
            ]
        )
    sys.exit(start(here or Path.cwd(), passed))


@app.command()
def solve(
    file: File,
    fault: Faults = None,
    set: Sets = None,
    part: Parts = None,
    as_json: AsJson = False,
    netlist: Annotated[
        bool,
        typer.Option(
            "--netlist",
            help="Print the circuit for a SPICE engine instead (written for ngspice -b).",
        ),
    ] = False,
) -> None:
    """Print a circuit's voltages and currents.

    Every voltage and current, and the speed or state of parts that have one.

    Example: labkit solve exercises/circuits/washdown.toml --set S2=on --fault "X1 open"
    """
    if netlist:
        from labkit.solving.netlist import to_spice

        sys.stdout.write(to_spice(_circuit(file, fault, set, part)))
        return
    from labkit.circuits.in_doubt import in_doubt
    from labkit.solving.solver import solve as operating_point
    from labkit.text.quantities import show

    point = operating_point(_circuit(file, fault, set, part))
    if as_json:
        data = as_json_of(point)
        sys.stdout.write(json.dumps(data, indent=2) + "\n")
        return
    circuit = point.circuit
    places = new_table(f"{circuit.title}: volts to DC-")
    for name in ("point", "at", "volts"):
        places.add_column(name, justify="right" if name != "at" else "left")
    labels = dict.fromkeys(circuit.node_of.values())
    for number, label in enumerate(labels, 1):
        at = [m for m, where in circuit.node_of.items() if where == label]
        volts = point.volts[at[0]]
        shown = "floating" if label in point.floating else _number(volts, "V")
        places.add_row(str(number), "  ".join(at), shown)
    out.print(places)
    flows = new_table("parts")
    for name in ("part", "what", "label", "amps", "heat", "state"):
        justify: Literal["left", "right"] = "right" if name in ("amps", "heat") else "left"
        flows.add_column(name, justify=justify, no_wrap=name != "label")
    for id, part_ in circuit.parts.items():
        speed = point.speeds.get(id)
        state = point.states.get(id, "")
        state = f"{100 * speed:.0f} % of rated speed" if speed is not None else state
        amps, watts = _number(point.amps[id], "A"), point.watts[id]
        heat = "-" if watts is None else show(watts, "W", 2) if watts >= 5e-4 else "0 W"
        flows.add_row(id, part_.kind, part_.label, amps, heat, state)
    out.print(flows)
    unsure = in_doubt(circuit)
    if unsure:
        out.print("Not known exactly, the middle taken: " + "; ".join(unsure), soft_wrap=True)
    if point.chattering:
        out.print("Chattering, so that not everything has a number: " + ", ".join(point.chattering))


@app.command()
def read(
    file: File,
    red: Annotated[
        str,
        typer.Option(
            metavar="POINT", help="Where the red lead is: a terminal, a node or a point's number."
        ),
    ],
    black: Annotated[str, typer.Option(metavar="POINT", help="Where the black lead is.")] = "DC-",
    function: Annotated[
        str,
        typer.Option(
            metavar="FUNCTION",
            help="volts, low-z, ohms, continuity, amps, clamp, diode, volts-ac",
        ),
    ] = "volts",
    fault: Faults = None,
    set: Sets = None,
    part: Parts = None,
    as_json: AsJson = False,
) -> None:
    """Print what the meter shows between two points.

    Example: labkit read exercises/circuits/washdown.toml --red X1:1 --black X1:2 --set S2=on
    """
    from labkit.measuring.meter import read as meter_reading
    from labkit.text.quantities import show

    reading = meter_reading(_circuit(file, fault, set, part), red, black, function)
    if as_json:
        finite = {"low": reading.low, "high": reading.high}
        data = {
            "display": reading.display,
            "value": reading.value,
            "unit": reading.unit,
            **{key: value if abs(value) < 1e300 else None for key, value in finite.items()},
            "hazards": [hazard.text for hazard in reading.hazards],
        }
        sys.stdout.write(json.dumps(data, indent=2) + "\n")
        return
    out.print(reading.spoken)
    if reading.value is not None:
        out.print(
            f"between {show(reading.low, reading.unit)} and {show(reading.high, reading.unit)}"
        )
    if reading.floating:
        out.print("Nothing but the meter ties one of these points to the rest of the boat.")
    for hazard in reading.hazards:
        out.print(hazard.text)


@app.command()
def rank(
    file: File,
    seen: Annotated[
        list[str] | None,
        typer.Option(
            metavar="READING", help='What was seen: "X1:1 DC- volts 12.6 V S2=on". Repeatable.'
        ),
    ] = None,
    top: Annotated[int, typer.Option(min=1, metavar="NUMBER", help="How many to print.")] = 10,
    unsafe: Annotated[
        bool, typer.Option("--unsafe", help="Include measurements that could be dangerous.")
    ] = False,
    without: Annotated[
        list[str] | None,
        typer.Option(metavar="TOOL", help="Do without: clamp, 'test lamp', fit. Repeatable."),
    ] = None,
    whole: Annotated[
        bool,
        typer.Option(
            "--plan", help="Print the whole search as a tree: what to do next after each outcome."
        ),
    ] = False,
    fault: Faults = None,
    set: Sets = None,
    part: Parts = None,
    as_json: AsJson = False,
) -> None:
    """Print what is most worth measuring next.

    Says of each measurement what it would tell.

    Example: labkit rank exercises/slow-washdown.toml --seen "M1 look barely turns S2=on" --plan
    """
    from labkit.diagnosis.closing_in import named_in
    from labkit.diagnosis.cost import Visit
    from labkit.diagnosis.planning import plan
    from labkit.diagnosis.ranking import adviser_for
    from labkit.diagnosis.ranking import rank as ranked
    from labkit.diagnosis.said import parse_seen
    from labkit.exercises.exercise import Exercise
    from labkit.exercises.files import load

    if whole and as_json:
        raise CircuitError(["--plan prints a tree and --json prints data; leave one of them out"])
    loaded = load(file)
    circuit = _in_state(loaded, fault, set, part)
    suspected = loaded.candidates if isinstance(loaded, Exercise) else None
    evidence, problems = [], []
    for text in seen or []:
        try:
            evidence.append(parse_seen(text, circuit))
        except CircuitError as error:
            problems += error.problems
    if problems:
        raise CircuitError(problems)
    if whole:
        with busy.status("following every measurement to its end"):
            adviser = adviser_for(circuit, suspected, without or (), named_in(evidence))
            tree = plan(adviser, adviser.start.copy().see(*evidence))
        out.print(tree.text(), soft_wrap=True)
        if without:
            out.print(f"Planned without: {', '.join(without)}.", soft_wrap=True)
        return
    with busy.status("working out what each measurement would tell"):
        found = ranked(circuit, evidence, suspected, top, not unsafe, without or ())
        adviser = adviser_for(circuit, suspected, without or (), named_in(evidence))
        left_out = adviser.beside(adviser.start.copy().see(*evidence))
    if as_json:
        rows = [
            {
                "red": r.red,
                "black": r.black,
                "function": r.function,
                "positions": dict(r.positions),
                "parted": sorted(r.parted),
                "bits": r.bits,
                "minutes": r.minutes,
                "tells": list(r.tells),
            }
            for r in found
        ]
        sys.stdout.write(json.dumps(rows, indent=2) + "\n")
        return
    if not found:
        out.print("Nothing in reach tells anything more.")
    visit = Visit(circuit)
    for number, r in enumerate(found, 1):
        long = ", with a long lead" if visit.leads(r.measurement) else ""
        line = f"{number}. {r.measurement}: {r.bits:.2f} bits in {r.minutes:.1f} min{long}"
        out.print(line, soft_wrap=True)
        for text in r.tells:
            out.print(f"   {text}", soft_wrap=True)
    if left_out:
        out.print(left_out, soft_wrap=True)


@app.command()
def check(
    paths: Annotated[list[Path], typer.Argument(metavar="FILE", help="Files, or folders of them.")],
    strict: Annotated[
        bool, typer.Option("--strict", help="Warnings of the survey fail the check too.")
    ] = False,
) -> None:
    """Check circuits, exercises and lessons.

    Prints a line for each file, or a sentence for each thing that is wrong with it. What a survey
    of the circuit finds against a rule stands in lines that begin with "warning:".

    Example: labkit check exercises
    """
    from labkit.exercises.checking import check_file, toml_files
    from labkit.lessons.checking import check_lesson, is_lesson

    files, problems = toml_files(paths)
    lines, warnings = [], []
    for file in with_progress(files, "checking"):
        if _is(is_lesson, file):
            line, found = check_lesson(file)
            warned: list[str] = []
        else:
            line, found, warned = check_file(file)
        problems += found
        warnings += warned
        lines += [line] if not found else []
    for line in (*lines, *dict.fromkeys(warnings)):
        out.print(line, soft_wrap=True)
    if strict and warnings and not problems:
        raise typer.Exit(1)
    if problems:
        raise CircuitError(dict.fromkeys(problems))  # an exercise repeats those of its circuit


def _is(kind: Callable[[Path], bool], file: Path) -> bool:
    """Tell whether a file is of a kind; one that cannot be read is of none."""
    try:
        return kind(file)
    except CircuitError:
        return False


register(app)


if __name__ == "__main__":
    main()
