"""The best path of a hunt: what a searcher who wastes nothing does, and what each step leaves."""

from __future__ import annotations

import re
from collections.abc import Iterable

from labkit.aboard.act import hand_place
from labkit.aboard.asking import ANOTHER
from labkit.aboard.bench import Bench
from labkit.aboard.isolating import isolation, still_live
from labkit.desk.suspected import called, suspected
from labkit.diagnosis.cost import moved
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.phrases import place_text, state_text, suspects
from labkit.diagnosis.planning import plan
from labkit.diagnosis.ranking import Adviser, adviser_for
from labkit.diagnosis.search import (
    Search,
    advised,
    complaint,
    following_the_wire,
    half_splitting,
    search,
)
from labkit.diagnosis.session import believed
from labkit.exercises.exercise import Dealt, Exercise
from labkit.measuring.senses import sensed
from labkit.solving.solver import solve


def searching(exercise: Exercise, dealt: Dealt) -> Adviser:
    """Return the adviser of whoever has heard the complaint of this variant."""
    return adviser_for(exercise.circuit, suspected(exercise, dealt), named=exercise.named)


def best_path(exercise: Exercise, dealt: Dealt, adviser: Adviser | None = None) -> tuple[str, ...]:
    """Follow the measurements worth most for their minutes, on this variant, until it is named.

    Every load is looked at first, as found; what is searched among is what
    :func:`labkit.desk.suspected.suspected` lists.

    Parameters
    ----------
    exercise : Exercise
    dealt : Dealt
        Of that exercise.
    adviser : Adviser, optional
        That of :func:`searching`, if it is there already.

    Returns
    -------
    tuple of str
        A sentence for each step, and one for the end.
    """
    adviser = adviser or searching(exercise, dealt)
    start = adviser.start.copy()
    found = Bench(dealt.circuit).circuit
    near = start.circuit.parts
    shown = {id: does for id, does in sensed(found, solve(found)).items() if id in near}
    for load, does in shown.items():
        start.see(Measurement("look", load).saw(does))
    first = f"As found: {', '.join(f'{load} {does}' for load, does in shown.items())}."
    done = search(start, Observer(found), advised(adviser), adviser)
    steps = zip(done.evidence, done.left, strict=True)
    return (
        f"{first if shown else 'Nothing shows as found.'} {_leaves(believed(start), dealt)}",
        *(f"{state_text(e)}{place_text(e)}: {e.seen}. {_leaves(left, dealt)}" for e, left in steps),
        _end(done, dealt),
    )


def making_safe(dealt: Dealt) -> tuple[str, ...]:
    """Say how each part that is wrong is made safe before it is mended."""
    circuit = Bench(dealt.circuit).circuit
    said = []
    for id in dict.fromkeys(fault.part for fault in dealt.causes):
        way = isolation(circuit, id)
        opens = f"isolate and tag {', then '.join(way)}" if way else "isolate and tag what feeds it"
        known = still_live(circuit, way)
        known = "a battery brought along" if known == ANOTHER else known
        said.append(
            f"{id}: {opens}; prove {hand_place(circuit, id)} dead, the meter tried on "
            f"{known} before and after; then mend."
        )
    return tuple(said)


def ways(exercise: Exercise, dealt: Dealt, adviser: Adviser | None = None) -> tuple[str, ...]:
    """Say what the planned search, half-splitting and following the wire take on this variant.

    All start from what the load does when it should run, suspect what :func:`best_path` does, and
    draw the same conclusions; () where the load shows nothing.
    """
    circuit, load = exercise.circuit, exercise.proof.load
    found = Bench(dealt.circuit).circuit
    if load not in sensed(found, solve(found)):
        return ()
    adviser = adviser or searching(exercise, dealt)
    on = moved(circuit, exercise.proof.positions)
    start = complaint(adviser.start, Observer(found), load, on)
    tree = plan(adviser, start)
    said = [
        f"The plan: {tree.expected_count:.1f} measurements and {tree.expected_minutes:.0f} min are "
        f"to be expected, {tree.deepest} at most."
    ]
    for name, way in (
        ("What is worth most for its minutes", advised(adviser)),
        ("Half-splitting", half_splitting(circuit, load, on)),
        ("Following the wire", following_the_wire(circuit, load, on)),
    ):
        done = search(start, Observer(found), way, adviser)
        end = suspects(done.named, parts=circuit.parts)
        more = "" if done.complete else ", and gets no further"
        said.append(f"{name}: {done.count} in {done.minutes:.0f} min, down to {end}{more}.")
    return tuple(said)


ASTRAY = "which is not what is wrong"
"""Said of the end of a path that leads to something else."""


def _leaves(names: Iterable[str], dealt: Dealt) -> str:
    return f"Leaves {suspects(names, parts=dealt.circuit.parts)}."


def _end(done: Search, dealt: Dealt) -> str:
    """Say where the search ends, and what that is worth."""
    names = _plain(done.named)
    there = suspects(names, parts=dealt.circuit.parts)
    alone = f"After {done.minutes:.0f} minutes it ends at {there}"
    if called(dealt.causes) not in (frozenset(name.split(" + ")) for name in names):
        return f"{alone}, {ASTRAY}; the readings allow it as well."
    if len(names) == 1:
        return f"{alone}."
    if done.complete:
        return f"{alone}, which no measurement in reach tells apart."
    return f"{alone}; nothing in reach tells them apart for certain."


def _plain(names: Iterable[str]) -> list[str]:
    """Leave out the terminals: who finds a leak in W3 has found it."""
    return list(dict.fromkeys(re.sub(r":\S+", "", name) for name in names))
