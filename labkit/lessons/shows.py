"""What a lesson shows: texts, tables, charts, what acts would do, how answers are judged."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit
from labkit.circuits.paths import path_through
from labkit.clock.course import Course
from labkit.clock.program import parse_duration, parse_program
from labkit.diagnosis import Diagnosis, adviser_for, plan
from labkit.diagnosis.faults import candidates
from labkit.diagnosis.logbook import evidence_of
from labkit.drawing import draw
from labkit.exercises.exercise import load_exercise, prove
from labkit.lessons import keys
from labkit.lessons.words import Boats, Say, Table, boat_of, filled, leads
from labkit.measuring.meter import read
from labkit.paper.charts import interval, remains, staircase
from labkit.paper.plan_chart import plan_chart
from labkit.paper.strip_chart import strip_chart
from labkit.questions.fields import Question
from labkit.text.messages import CircuitError


def shown(what: keys.Show, boats: Boats, folder: Path, questions: Mapping[str, Question]) -> Any:
    """Make the one thing that a table of `show` describes.

    Parameters
    ----------
    what : Show
    boats : mapping of str to Circuit
    folder : Path
        Files are named from here.
    questions : mapping of str to Question
        Asked so far, to show how answers to them are judged.

    Raises
    ------
    CircuitError
        If something it names is not there.
    """
    if what.say is not None:
        return Say(filled(what.say, boats))
    if what.table is not None:
        head, *rows = [[filled(cell, boats) for cell in row] for row in what.table]
        return Table(head, rows)
    if what.staircase is not None:
        named = {name: boat_of(name, boats) for name in what.staircase.boats}
        return staircase(named, load=what.staircase.load)
    if what.ledger is not None:
        return _ledger(boat_of(what.ledger.boat, boats), what.ledger.load)
    if what.interval is not None:
        return interval({label: _reading(asked, boats) for label, asked in what.interval.items()})
    if what.remains is not None:
        return _remains(what.remains, boats)
    if what.plan is not None:
        boat = boat_of(what.plan.boat, boats)
        suspects = candidates(boat, only=what.plan.only)
        return plan_chart(plan(adviser_for(boat, suspects)), boat)
    if what.tried is not None:
        return Table(["answer", "what is said to it"], [_tried(t, questions) for t in what.tried])
    if what.proof is not None:
        return _proof(what.proof, folder)
    if what.acts is not None:
        return _acts(what.acts, boats)
    if what.time is not None:
        return _timed(what.time, boats)
    if what.draw is not None:
        return draw(boat_of(what.draw, boats))
    raise CircuitError(
        [f"a thing to show has one of these keys: {', '.join(keys.Show.model_fields)}"]
    )


def _timed(what: keys.Timed, boats: Boats) -> Any:
    boat = boat_of(what.boat, boats)
    course = Course(boat, parse_program(what.at, boat), what.show)
    return strip_chart(course.play(parse_duration(what.lasts, "lasts")).chronicle)


def done(bench: Bench, acts: list[str]) -> Bench:
    """Do acts at a bench: 'read 8 1 ohms', 'switch S2 on', 'fit F2 40 A', 'test lamp 5 6'."""
    for act in acts:
        verb, *words = act.replace("test lamp", "test_lamp").split()
        if verb == "read":
            red, black, function = leads(" ".join(words))
            bench.read(red, black, function)
        elif verb == "fit":
            bench.fit(words[0], " ".join(words[1:]))
        elif verb == "record":
            red, black, time, *where = words
            bench.record(red, black, time, " ".join(where))
        elif hasattr(bench, verb):
            getattr(bench, verb)(*words)
        else:
            raise CircuitError([f"'{act}': there is no act '{verb}'"])
    return bench


def _reading(asked: str, boats: Boats) -> Any:
    where, _, name = asked.rpartition(" @ ")
    words = where.split()
    zeroed = words[-1:] == ["zeroed"]
    red, black, function = leads(" ".join(words[:-1] if zeroed else words))
    return read(boat_of(name, boats), red, black, function, zeroed=zeroed)


def _ledger(boat: Circuit, load: str) -> Table:
    """Every part on the way through a load and back, with what is lost in it."""
    steps = path_through(boat, load)
    rows = [
        [
            step.part,
            read(boat, step.first, step.second).display,
            read(boat, step.first, function="clamp").display,
        ]
        for step in steps
    ]
    return Table(["part", "volts across it", "amps through it"], rows)


def _remains(what: keys.Remaining, boats: Boats) -> Any:
    bench = done(Bench(boat_of(what.boat, boats)), what.acts)
    healthy = boat_of(what.healthy, boats)
    suspects = candidates(healthy, only=what.only) if what.only else None
    seen = evidence_of(bench.log, healthy)
    return remains(Diagnosis(healthy, suspects).see(*seen), most=what.most)


def _tried(what: keys.Tried, questions: Mapping[str, Question]) -> list[str]:
    return [what.label, str(questions[what.of].grade(*what.answer, **what.on))]


def _proof(what: keys.Proven, folder: Path) -> Table:
    exercise = load_exercise(folder / what.exercise)
    dealt = exercise.circuit.with_fault(*what.faults) if what.faults else None
    bench = Bench(dealt or exercise.variant(what.variant - 1).circuit)
    before = prove(bench.circuit, exercise.proof, exercise.circuit).text
    done(bench, what.repair)
    after = prove(bench.circuit, exercise.proof, exercise.circuit).text
    return Table(["", "what the proof says"], [["before", before], ["after", after]])


def _acts(what: keys.Acts, boats: Boats) -> Table:
    bench = done(Bench(boat_of(what.boat, boats)), what.acts)
    if what.print == "cautions":
        return Table(["caution"], [[hazard.text] for hazard in bench.hazards])
    return Table(["log"], [[str(entry)] for entry in bench.log])
