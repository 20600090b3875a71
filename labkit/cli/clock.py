"""The command that lets time pass."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from labkit.cli.options import AsJson, Faults, File, Sets, as_json_of, circuit_of
from labkit.cli.terminal import busy, new_table, out
from labkit.text.files import refuse_existing, write
from labkit.text.messages import CircuitError

if TYPE_CHECKING:
    from labkit.clock.course import Course

_WARMEST = 8  # parts in the table of what is warmest


def register(app: typer.Typer) -> None:
    """Add the command to the others."""
    app.command()(time)


def time(
    file: File,
    duration: Annotated[str, typer.Option("--for", metavar="TIME", help='How long: "10 min".')],
    at: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WHEN",
            help='What is done when: "30 s S2=off", "5 min X1 open", "1 h F2=set", "1 h sea=on". '
            "Repeatable.",
        ),
    ] = None,
    fault: Faults = None,
    set: Sets = None,
    show: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME", help="A terminal or part whose series is kept: X1:1. Repeatable."
        ),
    ] = None,
    lot: Annotated[
        str | None,
        typer.Option(
            metavar="LOT",
            help="Draw each fuse and breaker from all of its kind, by this word or number; without "
            "it each is an average one.",
        ),
    ] = None,
    chart: Annotated[
        Path | None, typer.Option(metavar="PNG", help="Draw a strip chart into this PNG file.")
    ] = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace that file.")] = False,
    as_json: AsJson = False,
) -> None:
    """Play what happens while time passes.

    What warms, opens, pulls in, fills and empties, and when.

    Example: labkit time exercises/circuits/washdown.toml --for "10 min" --at "30 s S2=on"
    """
    from labkit.clock.bodies import individuals
    from labkit.clock.course import Course
    from labkit.clock.program import parse_duration, parse_program

    if chart is not None:
        refuse_existing([chart], overwrite)
    circuit = circuit_of(file, fault, set, None)
    problems: list[str] = []

    def tried(read: Callable[[], Any]) -> Any:
        try:
            return read()
        except CircuitError as error:
            problems.extend(error.problems)

    seconds = tried(lambda: parse_duration(duration, "--for"))
    program = tried(lambda: parse_program(at or [], circuit))
    for name in show or []:
        tried(lambda name=name: name in circuit.parts or circuit.point(name))  # type: ignore[misc]
    if problems:
        raise CircuitError(problems)
    own = individuals(circuit, lot) if lot is not None else None
    course = Course(circuit, program, show or [], samples=own)
    with busy.status("letting time pass"):
        course.play(seconds)
    if chart is not None:
        from labkit.paper.strip_chart import strip_chart

        write(chart, strip_chart(course.chronicle).png)
    if as_json:
        data = course.chronicle.as_json() | {"end": as_json_of(course.point)}
        sys.stdout.write(json.dumps(data, indent=2) + "\n")
        return
    _tables(course)


def _tables(course: Course) -> None:
    from labkit.text.quantities import show as shown

    events = new_table(f"{course.world.circuit.title}: what happens")
    events.add_column("at", justify="right", no_wrap=True)
    events.add_column("what")
    for event in sorted(course.chronicle.events, key=lambda event: event.seconds):
        events.add_row(clock_time(event.seconds), event.text)
    out.print(events if events.row_count else "Nothing changes but what is warm and full.")
    world, point = course.world, course.point
    warmest = sorted(world.warm, key=lambda id: world.circuit.air_at(id) - world.celsius(id))
    parts = new_table("the warmest parts at the end")
    for name in ("part", "label", "heat", "temperature"):
        parts.add_column(name, justify="left" if name in ("part", "label") else "right")
    for id in warmest[:_WARMEST]:
        watts = point.watts[id]
        heat = "-" if watts is None else shown(watts, "W", 2)
        degrees = shown(round(world.celsius(id)), "C")
        parts.add_row(id, world.circuit.parts[id].label, heat, degrees)
    out.print(parts)
    for id in world.charged:
        charge = world.bodies[id].charge
        out.print(f"{id} is at {100 * charge:.1f} % of its charge.")
    if course.bilge is not None:
        out.print(f"There are {shown(course.bilge.litres, 'l', 3)} of water in the bilge.")


def clock_time(seconds: float) -> str:
    """Write a time for people: 12.3 s, 4 min 05 s, 3 h 12 min, 2 d 04 h."""
    if seconds < 60:
        return f"{seconds:.3g} s"
    minutes, left = divmod(round(seconds), 60)
    if minutes < 60:
        return f"{minutes} min {left:02d} s"
    hours, minutes = divmod(minutes, 60)
    if hours < 24:
        return f"{hours} h {minutes:02d} min"
    days, hours = divmod(hours, 24)
    return f"{days} d {hours:02d} h"
