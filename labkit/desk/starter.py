"""A starter exercise that is fit to be used as it stands, on a template or on one's own circuit.

Load, fault and voltage-drop limit are tried out on the circuit, so that the file passes
`labkit check` before a word of it is changed.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator, Mapping
from importlib import resources
from pathlib import Path

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import circuit_from, load_circuit
from labkit.circuits.paths import path_through
from labkit.exercises.checking import check_circuit, check_exercise
from labkit.exercises.exercise import Exercise
from labkit.exercises.proving import Proof, prove
from labkit.measuring.senses import sensed, words_of
from labkit.solving.solver import solve
from labkit.text.files import refuse_existing, write
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.plain_file import is_there
from labkit.text.quantities import FRACTION

USUAL = "pump"
"""The template taken where none is asked for."""

LIMITS = ("3 %", "5 %", "10 %", "15 %")
"""Voltage-drop limits tried, the strictest first. 3 % and 10 % are those of ABYC E-11 and ISO
13297, second hand; the others stand for circuits that keep neither."""

NO_LIMIT = "100 %"
"""For what shares its volts with another by its nature, as a gauge with its sender: such a load is
proven by what it does alone."""

_OHMS = ("0.05", "0.1", "0.2", "0.5", "1", "2", "5", "20", "100", "1000")


def templates() -> dict[str, str]:
    """Return the template circuits, name to text."""
    folder = resources.files("labkit.desk") / "templates"
    files = sorted(item.name for item in folder.iterdir() if item.name.endswith(".toml"))
    return {name.removesuffix(".toml"): (folder / name).read_text("utf-8") for name in files}


def start(file: Path, circuit: str = "", overwrite: bool = False) -> list[Path]:
    """Write a starter exercise, and beside it the circuit it needs.

    Parameters
    ----------
    file : Path
        The exercise, a .toml file.
    circuit : str
        A template's name or a circuit file. One outside the exercise's folder is copied into it.
    overwrite : bool
        Replace what is there.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    CircuitError
        If a file is there already, cannot be written, or the circuit has nothing to practise on.
    """
    if file.suffix != ".toml":
        raise CircuitError([f"{file}: an exercise is a TOML file; name it {file.stem}.toml"])
    text, place = _circuit_for(file, circuit)
    made = circuit_from(tomllib.loads(text), str(place))
    writes = {file: exercise_text(made, place.relative_to(file.parent).as_posix())}
    if not (is_there(place) and place.read_text("utf-8-sig") == text):
        writes = {place: text, **writes}
    refuse_existing(writes, overwrite)
    for path, content in writes.items():
        write(path, content)
    return list(writes)


def _circuit_for(file: Path, circuit: str) -> tuple[str, Path]:
    """Return a circuit's text, and the file in or below the exercise's folder it stands in."""
    known = templates()
    if not circuit or circuit in known:
        return known[circuit or USUAL], file.parent / "circuits" / file.name
    source = Path(circuit)
    if not is_there(source) and source.suffix != ".toml":
        hint = did_you_mean(circuit, known)
        raise CircuitError([f"--circuit {circuit}: no template and no file of this name; {hint}"])
    load_circuit(source)  # says what is wrong with it, if anything
    if source.resolve() == file.resolve():
        raise CircuitError([f"{file}: is the circuit itself; give the exercise a name of its own"])
    text = source.read_text("utf-8-sig")
    inside = source.resolve().is_relative_to(file.parent.resolve())
    if inside:
        return text, file.parent / source.resolve().relative_to(file.parent.resolve())
    return text, file.parent / "circuits" / source.name


# -- what to practise on a circuit --------------------------------------------------------------


def exercise_text(circuit: Circuit, path: str) -> str:
    """Write an exercise on a circuit, with a fault that shows and a proof that fails until mended.

    Parameters
    ----------
    circuit : Circuit
    path : str
        Of its file, from the exercise's folder.

    Raises
    ------
    CircuitError
        If the circuit itself is not fit, or nothing in it makes an exercise.
    """
    problems = check_circuit(circuit)
    if problems:
        raise CircuitError(problems)
    for exercise, limit in sorted(_tries(circuit), key=_worth):
        if not check_exercise(exercise):
            return _text(exercise, limit, path)
    raise CircuitError(
        [
            f"{circuit.file}: nothing here makes an exercise; it needs a load that runs and a "
            "connection, switch, fuse or cable in its way"
        ]
    )


def _tries(circuit: Circuit) -> Iterator[tuple[Exercise, str]]:
    on = {id: circuit.parts[id].choices[0] for id in circuit.positions if circuit.parts[id].choices}
    running = circuit.with_position(**on)
    amps = solve(running).amps
    flow = {p.id: abs(amps[p.id] or 0.0) for p in circuit.parts.values()}
    fed = [p for p in circuit.parts.values() if p.uses() and words_of(p) and flow[p.id] > 1e-3]
    moved = {id: word for id, word in on.items() if circuit.parts[id].off()}
    for load in sorted(fed, key=lambda p: -flow[p.id]):
        try:
            path = [circuit.parts[step.part] for step in path_through(running, load.id)]
        except CircuitError:
            continue
        suspects = sorted(
            {p.id: p for p in path if not p.uses() and "resistance" in p.modes}.values(),
            key=lambda p: -p.modes["resistance"].weight,
        )
        limit = _limit(circuit, load.id, moved)
        for part in suspects if limit else ():
            for ohms in _OHMS:
                fault = f"{part.id} resistance {ohms} ohm"
                yield _exercise(circuit, fault, load.id, moved, limit), limit


def _worth(tried: tuple[Exercise, str]) -> tuple[bool, bool]:
    """What a limit proves goes before what none does, and of each what shows before the rest."""
    exercise, limit = tried
    return limit == NO_LIMIT, not _shows(exercise)


def _shows(exercise: Exercise) -> bool:
    """Tell whether the load can be seen or heard to be wrong, and not only measured."""
    load, faulty = exercise.proof.load, exercise.variant(0).circuit
    sound = exercise.circuit
    return sensed(faulty, solve(faulty))[load] != sensed(sound, solve(sound))[load]


def _limit(circuit: Circuit, load: str, positions: Mapping[str, str]) -> str:
    """Return the strictest limit the sound circuit keeps, or '' where even none is not enough."""
    for limit in (*LIMITS, NO_LIMIT):
        proof = Proof(load, positions, FRACTION.parse(limit))
        if prove(circuit, proof, circuit).ok:
            return limit
    return ""


def _exercise(
    circuit: Circuit, fault: str, load: str, positions: Mapping[str, str], limit: str
) -> Exercise:
    return Exercise(
        title=f"{circuit.title[:110]}: starter",
        circuit=circuit.with_position(**positions),
        complaint="",
        seen=(),
        variants=((fault,),),
        causes=("",),
        par=1500.0,
        cautions=(),
        proof=Proof(load, positions, FRACTION.parse(limit)),
        file=circuit.file,
    )


def _text(exercise: Exercise, limit: str, path: str) -> str:
    load, fault = exercise.proof.load, exercise.variants[0][0]
    faulty = exercise.variant(0).circuit
    does = sensed(faulty, solve(faulty))[load]
    part = fault.split()[0]
    modes = [*exercise.circuit.parts[load].modes]
    where = exercise.circuit.parts[part].label or exercise.circuit.parts[part].kind
    named = exercise.circuit.parts[load].label or exercise.circuit.parts[load].kind
    return _TEXT.format(
        title=_quoted(exercise.title),
        circuit=_quoted(path),
        load=_quoted(load),
        first=_quoted(f"{load} {modes[0]}"),
        second=_quoted(f"{load} {modes[1]}"),
        limit=_quoted(limit),
        fault=_quoted(fault),
        positions=_table(exercise.proof.positions),
        seen=_quoted(f"With everything switched on, {load} ({named}) {does}."),
        cause=_quoted(f"Corrosion in {part} ({where}). Say what let it in and what keeps it out."),
        complaint=_quoted(f"Something is the matter with the {named}. It worked when we left her."),
    )


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _table(words: Mapping[str, str]) -> str:
    return "{ " + ", ".join(f"{id} = {_quoted(word)}" for id, word in words.items()) + " }"


_TEXT = """\
# An exercise: everything here is yours to change. Say in a first line that it is invented.
# After each change:     labkit check THIS_FILE     says what is wrong, if anything.
# To look at it:         labkit draw THIS_FILE
# Answers, computed:     labkit key THIS_FILE
# A page to print:       labkit sheet THIS_FILE
title     = {title}
circuit   = {circuit}   # beside this file or in a folder below it

# What the person aboard says. People describe symptoms, guess at causes and are often wrong.
complaint = {complaint}

# What can be seen and heard without an instrument. It must be what the faulty circuit really does:
# labkit key says it under 'Seen and heard'.
seen = [
  {seen},
]

# How the learner finds the switches. Leave a switch out to keep it as the circuit file has it.
positions = {positions}

# What is wrong: "ID mode [amount]", such as "X1 open", "F2 blown", "W2:2 leak 30 ohm",
# "M1 seized", "X1 intermittent 2 ohm". All in the list together; with deal = "one of", each
# learner gets one of them by name, and "A + B" in one item are two faults at once. An amount
# such as "0.8..1.5 ohm" is drawn for each learner, so that a neighbour's readings are of no use.
# Where variants do not look alike, write a table [[variant]] for each instead, at the end, with
# faults, complaint, seen and cause of its own.
faults    = [{fault}]
deal      = "all"

# What made it fail, and what else to put right. With "one of": a list, one sentence for each.
cause     = {cause}

# What a practised person takes.
par       = "25 min"

cautions  = [
  "Switch off before you take a connection apart, and keep its end from touching anything.",
  "A battery can deliver many hundreds of amperes into a spanner: take rings and watches off.",
]

# Everything that can fail is suspected. To say more, take the # away and write your own parts:
# [suspects]
# only   = ["X1", "open", "G1 weak"]      # nothing else: parts, modes, or both
# likely = {{ X1 = 3, "G1 weak" = 0.2 }}    # so many times as likely as usual; 0 rules it out
# pairs  = "10 %"                         # how often a second fault stands beside the first
# alike  = [[{first}, {second}]]   # no test tells these apart: each of them is the answer

# The repair is proven when this load, with the switches so, does what it does in the healthy boat,
# and no more of the system voltage is lost on the way there and back (3 % for what safety depends
# on, 10 % for the rest, by ABYC E-11 and ISO 13297, second hand; local rules come first).
[proof]
load      = {load}
positions = {positions}
drop      = {limit}
"""
