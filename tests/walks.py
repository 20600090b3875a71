"""Hunts walked by a rule, and whether what is said of each when it is looked back on agrees.

    python -m tests.walks [exercise ...]

Every variant is walked on the advised way, by half-splitting and along the wire, looked back on
after that, and a line is printed for whatever disagrees; then it fails. It takes some minutes.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial

from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis import Adviser, Evidence, Measurement, adviser_for
from labkit.diagnosis.cost import Visit, moved
from labkit.diagnosis.faults import in_use, said
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.search import (
    Search,
    Way,
    advised,
    following_the_wire,
    half_splitting,
    search,
)
from labkit.exercises.exercise import Dealt, Exercise, load_exercise
from labkit.hunts.debrief import Debrief, debrief
from labkit.hunts.hunt import Hunt, Named
from labkit.measuring.meter import FUNCTIONS
from labkit.measuring.senses import sensed
from labkit.solving.solver import solve
from tests.boats import EXERCISES, mend

MOST = 12
"""Along the wire and by half-splitting a hunt is looked back on after so many steps at most."""


def in_use_for(circuit: Circuit, load: str) -> Mapping[str, str]:
    """Positions in which the sound circuit sends most current through a load."""
    flows = [
        (abs(solve(circuit.with_position(**on)).amps.get(load) or 0.0), n, on)
        for n, on in enumerate(in_use(circuit))
    ]
    return moved(circuit, max(flows)[2])


def take(bench: Bench, found: dict[str, str], measurement: Measurement) -> None:
    """Bring the boat into the state a measurement asks for, and take it."""
    restore(bench, {**found, **measurement.positions}, measurement.parted)
    red, black, function = measurement.red, measurement.black, measurement.function
    if function in FUNCTIONS:
        bench.read(red, black or NEGATIVE, function)
    elif function == "wiggle":
        bench.wiggle(red, black)
    elif function == "look":
        bench.look(red)
    elif function == "test lamp":
        bench.test_lamp(red, black)
        bench.lift("test lamp")
    elif function not in ("pull", "fit"):
        bench.act(function, **ACTS[function].given((red, black)))
    else:  # a fuse looked at is put back, one renewed was pulled before
        if function == "pull" or red not in bench.pulled:
            bench.pull(red)
        bench.fit(red)


def restore(bench: Bench, positions: dict[str, str], parted: frozenset[str]) -> None:
    """Move the switches, take apart and join until the boat is in a state."""
    for id, word in positions.items():
        if bench.drawn.positions[id] != word:
            bench.switch(id, word)
    for terminal in sorted(bench.drawn.parted - parted):
        bench.join(terminal)
    for terminal in sorted(parted - bench.drawn.parted):
        bench.part(terminal)


def best(exercise: Exercise, dealt: Dealt) -> Search:
    """The advised way on a variant."""
    adviser = adviser_for(exercise.circuit, exercise.candidates)
    return search(adviser.start, _observer(dealt), advised(adviser), adviser)


def plain_ways(exercise: Exercise) -> tuple[Way, ...]:
    """Half-splitting and following the wire; none where the load complained of shows nothing."""
    circuit, load = exercise.circuit, exercise.proof.load
    if load not in sensed(circuit, solve(circuit)):
        return ()
    on = in_use_for(circuit, load)
    return half_splitting(circuit, load, on), following_the_wire(circuit, load, on)


def along(adviser: Adviser, dealt: Dealt, way: Way) -> Iterator[Evidence]:
    """What a way finds on a variant, until it has nothing more to offer."""
    observe, diagnosis = _observer(dealt), adviser.start.copy()
    visit = Visit(diagnosis.circuit)
    while len(diagnosis.steps) < MOST and (chosen := way(diagnosis, visit)) is not None:
        visit.go(chosen)
        diagnosis.see(seen := chosen.saw(observe(chosen)))
        yield seen


def _observer(dealt: Dealt):
    return Observer(Bench(dealt.circuit).circuit)


def walked(exercise: Exercise, dealt: Dealt, path: Iterable[Measurement]) -> Hunt:
    """A hunt along a path, every cause named at its end, mended and proven."""
    hunt = Hunt(exercise)
    hunt.dealt, hunt.bench = dealt, Bench(dealt.circuit)
    found = dict(exercise.circuit.positions)
    for measurement in path:
        take(hunt.bench, found, measurement)
    causes = {fault.part for fault in dealt.causes}
    for run in exercise.circuit.runs:  # what nobody drew can be named once it is found
        if any(exercise.circuit.parts[p.part].hidden and p.part in causes for p in run.passes):
            hunt.bench.trace(run.name)
    for fault in dealt.causes:
        mode = dealt.circuit.part(fault.part).mode(fault.mode)
        assert hunt.name(fault.part, mode.word).right
    restore(hunt.bench, found, exercise.circuit.parted)
    mend(hunt.bench, *(fault.part for fault in dealt.circuit.faults))
    hunt.prove()
    return hunt


def hunts(exercise: Exercise) -> Iterator[Callable[[], tuple[Hunt, Search]]]:
    """Every variant to be walked every way, each with the advised way if that is walked."""
    adviser = adviser_for(exercise.circuit, exercise.candidates)

    def by_advice(dealt: Dealt) -> tuple[Hunt, Search]:
        found = best(exercise, dealt)
        return walked(exercise, dealt, found.evidence), found

    def by(way: Way, dealt: Dealt) -> tuple[Hunt, Search]:
        return walked(exercise, dealt, along(adviser, dealt, way)), Search()

    for number in range(len(exercise.variants)):
        dealt = exercise.variant(number)
        yield partial(by_advice, dealt)
        for way in plain_ways(exercise):
            yield partial(by, way, dealt)


# -- what must agree ------------------------------------------------------------------------------


def disagreements(hunt: Hunt, made: Debrief) -> Iterator[str]:
    """What the table, the chart and the sentences of a review count differently."""
    last, drawn = made.rows[-1].left, made.chart.alt.split("advised")
    remaining = hunt.question.left().remaining
    if last != len(remaining):
        yield f"the table leaves {last}, the readings {remaining}"
    if not re.search(rf" {last} at [\d.]+ min\W*$", drawn[0]):
        yield f"the table leaves {last}, the chart: {drawn[0]}"
    pace = f"You went from {made.rows[0].before} suspects to {last} in"
    if not any(line.startswith(pace) for line in made.lines):
        yield f"the table leaves {last}, the sentence: {made.lines}"
    if made.advised:
        end = made.advised[-1].left
        if f"the advised way goes to {end} in" not in str(made.lines):
            yield f"the advised way leaves {end}, the sentence: {made.lines}"
        if not re.search(rf" {end} at [\d.]+ min$", drawn[1]):
            yield f"the advised way leaves {end}, the chart: {drawn[1]}"
    for named in hunt.named:
        yield from _of_proof(named, made, remaining)


def _of_proof(named: Named, made: Debrief, remaining: Iterable[str]) -> Iterator[str]:
    """What a sentence that says known or lucky counts or calls otherwise than the table."""
    if named.proved is None:
        if "not judged" not in named.proof:
            yield f"{named.what} is not judged, and nothing says why: '{named.proof}'"
        return
    counted = suspects_in(named.proof, remaining)
    if counted != made.rows[named.steps - 1].left:
        yield f"the table leaves {made.rows[named.steps - 1].left}, the sentence: {named.proof}"
    if ("the one explanation" in named.proof) != (counted == 1):
        yield f"{counted} are left: {named.proof}"
    if named.proof.startswith("Known") != named.proved:
        yield f"proved is {named.proved}: {named.proof}"
    if named.proof not in str(made.lines):
        yield f"'{named.proof}' is not in the review"


def suspects_in(sentence: str, remaining: Iterable[str]) -> int:
    """How many of those that remain a sentence names or counts."""
    count = sum(map(int, re.findall(r"and (\d+) more", sentence)))
    for name in sorted(map(said, remaining), key=len, reverse=True):
        count += name in sentence
        sentence = sentence.replace(name, "")
    return count


if __name__ == "__main__":
    files = sys.argv[1:] or sorted(path.stem for path in EXERCISES.glob("*.toml"))
    wrong = 0
    for file in files:
        looked_back = 0
        for walk in hunts(load_exercise(EXERCISES / f"{file}.toml")):
            one, _ = walk()
            looked_back += 1
            for problem in disagreements(one, debrief(one)):
                wrong += 1
                print(f"  {' + '.join(one.dealt.faults)}: {problem}")
        print(f"{file}: {looked_back} hunts looked back on", flush=True)
    sys.exit(1 if wrong else 0)
