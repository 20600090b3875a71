"""What stands on the page to take aboard: words and figures, whatever it is printed on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.faults import in_use
from labkit.diagnosis.phrases import listing
from labkit.drawing import Drawing, draw
from labkit.exercises.situations import Situation
from labkit.handout.sheet import ALWAYS, RULES
from labkit.jobs.bands import Bands, Cell, Rest, needed, rests, situations_of
from labkit.jobs.job_file import Job
from labkit.jobs.plan import STEPS, Step, plan
from labkit.measuring.meter import FUNCTIONS
from labkit.ownboat.advice import Adviser
from labkit.ownboat.boat import Boat
from labkit.ownboat.inference import Inference
from labkit.ownboat.remarks import Said
from labkit.ownboat.words import CHARGE_FIRST, fault_words
from labkit.parts import Battery, Trait
from labkit.solving.arrays import Numbers
from labkit.solving.solver import solve

LIKELIEST = 10
"""So many faults have their readings on the page."""

STOP = (
    "You smell fuel or gas, or the bilge may hold either.",
    "Something is or was hot, melted or smoking, or a battery is swollen or smells of acid.",
    "A fuse opens again: look for what takes the current before another is fitted.",
    "Shore power, AC, fuel, gas or what keeps the boat afloat is in the way.",
    "Two readings contradict each other after both were taken again.",
)
"""When to stop and call somebody. Common practice, no source."""

NOTHING_FITS = (
    "Read it again, tips on bright metal, the black lead where it should be.",
    "Measure the battery again: it sinks while you work.",
    "Look whether every switch stands as the step says.",
    "Then something is aboard that is not drawn: a joint, a second way, a second fault. Follow the "
    "wire by eye, draw it in, and weigh the readings again.",
)
"""What to do when nothing on the page fits. Common practice, no source."""


_DO = {
    "look": "Look at {red} and listen: what does it do?",
    "wiggle": "Wiggle {red} and keep an eye on {black}.",
    "pull": "Pull {red} and look at it.",
    "fit": "Fit a sound one of the same rating for {red}, or set it again: does it hold?",
    "test lamp": "Test lamp from {red} to {black}.",
}


@dataclass(frozen=True)
class Point:
    """A test point in one situation: the measurement, a sound boat's cell, each faulty one's."""

    number: int
    terminals: tuple[str, ...]
    measurement: Measurement
    sound: Cell
    faulty: tuple[Cell, ...]


@dataclass(frozen=True)
class Place:
    """One situation, with its points."""

    name: str
    says: str
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Page:
    """Everything the page says.

    Attributes
    ----------
    job : Job
    file : str
        Name of the job's file.
    circuit : Circuit
    drawing : Drawing
    batteries : list of Rest
    charge_first : float
        Below this at rest a battery is charged before anything is judged. [V]
    make_safe, cautions : list of str
    places : list of Place
    faults : list of (str, float)
        The likeliest, with how far each is believed.
    steps : list of Step
    """

    job: Job
    file: str
    circuit: Circuit
    drawing: Drawing
    batteries: list[Rest]
    charge_first: float
    make_safe: list[str]
    cautions: list[str]
    places: list[Place]
    faults: list[tuple[str, float]]
    steps: list[Step]


def page_of(
    job: Job, circuit: Circuit, said: Sequence[Said], file: str, steps: int = STEPS
) -> Page:
    """Work out the page of a job.

    Parameters
    ----------
    job, circuit, said
        As :func:`labkit.jobs.job_file.read_job` gives them.
    file : str
        Name of the job's file.
    steps : int
        How many steps of the plan are worked out.
    """
    boat = Boat(circuit, job.without, job.out_of_reach)
    batteries = rests(boat, said)
    told = [_at_rest(rest) for rest in batteries if not rest.measured]
    inference = Inference(boat).see(*said, *told)
    visit = Visit.after(boat.circuit, inference.evidence)
    beliefs = list(inference.by_name.items())[:LIKELIEST]
    faults = [(fault_words(name, circuit), belief) for name, belief in beliefs]
    sets = np.concatenate(
        [np.zeros((1, 3), np.intp), inference.sets[[inference.best(n) for n, _ in beliefs]]]
    )
    drawing = draw(circuit, wires=True)
    bands = Bands(boat, batteries)
    return Page(
        job,
        file,
        circuit,
        drawing,
        batteries,
        CHARGE_FIRST * circuit.system / 12,
        make_safe(circuit, job.load),
        [*ALWAYS, RULES],
        _places(bands, drawing, situations_of(circuit, job.load), sets),
        faults,
        [_following(step, bands) for step in plan(Adviser(boat), inference, visit, steps)],
    )


def _following(step: Step, bands: Bands) -> Step:
    """A step with how its reading goes up with the batteries."""
    m = step.measurement
    if m is None or m.function != "volts":
        return step
    return replace(step, follows=bands.sound(m).follows)


def _at_rest(rest: Rest) -> Evidence:
    return Evidence("volts", f"{rest.id}:+", f"{rest.id}:-", seen=f"{rest.volts:.2f} V")


def _places(
    bands: Bands, drawing: Drawing, situations: Sequence[Situation], sets: Numbers
) -> list[Place]:
    spots = [s for s in drawing.test_points if s.node != NEGATIVE and s.terminals]
    found = []
    for situation in situations:
        points = []
        for spot in spots:
            measurement = bands.measurement(situation, spot.terminals)
            sound, *faulty = bands.cells(measurement, sets)
            cells = tuple(bands.against(cell, sound) for cell in faulty)
            points.append(Point(spot.number, spot.terminals, measurement, sound, cells))
        found.append(Place(situation.name, situation.says, tuple(points)))
    return found


def make_safe(circuit: Circuit, load: str) -> list[str]:
    """Steps before the first lead is put on."""
    batteries = [p.id for p in circuit.parts.values() if isinstance(p, Battery)]
    off = _cutting(circuit)
    clamps = listing([f"{id}:-" for id in batteries]) or "the source"
    said = [
        "Know how to cut the current off, and try it: "
        + (f"{listing([_named(circuit, id) for id in off])}; or " if off else "")
        + f"the clamp at {clamps}, which comes off first and goes on last.",
    ]
    if guards := _guards(circuit, load):
        known = [_named(circuit, id) for id in guards]
        said.append(
            f"Through {listing(known)} it is fed: never bridge a fuse, and fit none that is larger."
        )
    moving = [p.id for p in circuit.parts.values() if Trait.TURNS in p.traits]
    if moving:
        said.append(f"{listing(moving)} may start at any moment: keep hands and sleeves clear.")
    if circuit.system >= 24:
        said.append(f"{circuit.system:g} V bites through wet or broken skin: gloves, dry hands.")
    said.append(
        "Ohms, continuity and the meter's current socket only where all is dead: measure volts "
        "there first, and on the battery right after, to know that the meter works."
    )
    return said


def _named(circuit: Circuit, id: str) -> str:
    label = circuit.parts[id].label
    return f"{id} ({label})" if label else id


def _cutting(circuit: Circuit) -> list[str]:
    """Switches that cut off everything."""
    on = circuit.without_faults().with_position(**in_use(circuit)[0])
    whole = _from_batteries(on)
    return [
        part.id
        for part in circuit.parts.values()
        if part.off() and _from_batteries(on.with_position(**{part.id: part.off()})) < 0.05 * whole
    ]


def _from_batteries(circuit: Circuit) -> float:
    amps = solve(circuit).amps
    return sum(abs(amps[p.id] or 0.0) for p in circuit.parts.values() if isinstance(p, Battery))


def _guards(circuit: Circuit, load: str) -> list[str]:
    """Fuses and breakers without which the load gets nothing."""
    if not load:
        return []
    on = circuit.without_faults().with_position(**needed(circuit, load))

    def amps(now: Circuit) -> float:
        return max(abs(a or 0.0) for id, a in solve(now).amps.items() if id.split()[0] == load)

    whole = amps(on)
    return [
        part.id
        for part in circuit.parts.values()
        if Trait.PROTECTION in part.traits
        and amps(on.with_parted(f"{part.id}:{part.terminals[0]}")) < 0.05 * whole
    ]


def asked(m: Measurement, circuit: Circuit) -> tuple[str, str]:
    """What a step asks for: how the boat is brought there, and what is done."""
    state = [f"{id} {word}" for id, word in m.positions.items()]
    others = [id for id in circuit.positions if id not in m.positions]
    first = (
        f"Set {listing(state, 9)}; leave the other switches as they were"
        if state
        else ("Leave every switch as it was" if others else "")
    )
    apart = [f"take the wire off {t}" for t in sorted(m.parted)]
    before = ", ".join([first, *apart] if first else apart)
    numbers = {point.node: point.number for point in circuit.test_points}

    def at(lead: str) -> str:
        node = circuit.node_of.get(lead, "")
        where = "DC−" if node == NEGATIVE else lead
        return f"point {numbers[node]} ({where})" if node in numbers else where

    if m.function in FUNCTIONS and m.function != "clamp":
        does = (
            f"Meter on {m.function}: red lead on {at(m.red)}, black lead on "
            f"{at(m.black or NEGATIVE)}."
        )
    elif m.function in _DO:
        does = _DO[m.function].format(red=m.red, black=m.black)
    else:
        does = f"Clamp round the wire at {m.red}."
    return (before[0].upper() + before[1:] + "." if before else ""), does
