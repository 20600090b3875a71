"""Acts that ask how warm a part is, and the one that lets time pass."""

from __future__ import annotations

from labkit.aboard.act import Act, Need, Outcome
from labkit.aboard.safety import heat
from labkit.aboard.scene import Scene
from labkit.aboard.warmth import left_hot
from labkit.clock.chronicle import extremes
from labkit.clock.course import Course
from labkit.clock.program import parse_duration
from labkit.clock.warmth_words import BURNS, felt, spot_thermometer, surface_of, too_hot
from labkit.measuring.meter import Hazard
from labkit.parts import Trait
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError
from labkit.text.quantities import show

LONGEST_WAIT = 14 * 86400.0
"""Nobody waits longer at a bench. [s]"""

_WORKING = 1.0  # a load meant to be hot is so above this heat [W]; common practice, no source
_MOST_TOLD = 6


def _touch(scene: Scene, id: str) -> Outcome:
    world = scene.warmth.now(scene.circuit)
    air, celsius = scene.circuit.air_at(id), world.celsius(id)
    body = world.bodies.get(id)
    if body is None or not body.warms:
        if _burning(scene, id):
            return Outcome("is hot, as it is while it works")
        return Outcome(felt(air, air))
    limit = too_hot(body)
    hazards = []
    if celsius > limit:
        burn = "burns at once" if celsius > BURNS else "burns whoever holds on"
        text = (
            f"{id} is at {show(round(celsius), 'C')} and {burn}: bring the back of a hand near "
            "before you touch, or use a spot thermometer. Switch off and find out why it is hot."
        )
        hazards.append(Hazard("too hot", text))
    return Outcome(felt(celsius, air, limit), hazards)


def _burning(scene: Scene, id: str) -> bool:
    part = scene.circuit.part(id)
    watts = solve(scene.circuit).watts[id]
    return Trait.MEANT_HOT in part.traits and (watts is None or watts > _WORKING)


def _infrared(scene: Scene, id: str) -> Outcome:
    scene.circuit.part(id)
    world = scene.warmth.now(scene.circuit)
    body = world.bodies.get(id)
    if (body is None or not body.warms) and _burning(scene, id):
        return Outcome("hot, as it is while it works")
    surface = surface_of(body)
    shown = spot_thermometer(world.celsius(id), scene.circuit.air_at(id), surface)
    bright = " (bright metal: it may be hotter)" if surface == "lug" else ""
    return Outcome(f"{shown:.0f} C{bright}")


def _wait(scene: Scene, time: str) -> Outcome:
    seconds = _seconds(time)
    course = scene.warmth.wait(scene.circuit, seconds)
    return Outcome(_happened(course) or "nothing changes", _dangers(scene, course), seconds / 60.0)


def _record(scene: Scene, red: str, black: str, time: str, where: str) -> Outcome:
    red, black = scene.circuit.point(red), scene.circuit.point(black)
    if where not in ("", "at sea"):
        raise CircuitError([f'record: found "{where}"; write "at sea", or nothing'])
    seconds = _seconds(time)
    course = scene.warmth.wait(scene.circuit, seconds, (red, black), bool(where))
    places = [course.chronicle.wanted.volts.index(point) for point in (red, black)]
    pairs = [[moment.volts[place] for place in places] for moment in course.chronicle.moments]
    ends = extremes(None if a is None or b is None else a - b for a, b in pairs)
    kept = (
        "no steady voltage"
        if ends is None
        else "least {}, most {}".format(*(show(volts, "V", 4) for volts in ends))
    )
    told = [kept, _happened(course)]
    return Outcome(". ".join(t for t in told if t), _dangers(scene, course), seconds / 60.0)


def _seconds(time: str) -> float:
    seconds = parse_duration(time, "wait")
    if seconds > LONGEST_WAIT:
        raise CircuitError([f'wait: found "{time}"; two weeks are the most'])
    return seconds


def _happened(course: Course) -> str:
    told = [e.text for e in sorted(course.chronicle.events, key=lambda event: event.seconds)]
    more = [f"And {len(told) - _MOST_TOLD} more."] if len(told) > _MOST_TOLD else []
    return " ".join([*told[:_MOST_TOLD], *more])


def _dangers(scene: Scene, course: Course) -> list[Hazard]:
    """Leave the circuit as it has become, and name what is dangerous in that."""
    scene.circuit = course.world.circuit.with_disturbed()
    opened = tuple(
        e.part
        for e in course.chronicle.events
        if e.state == "open" and Trait.PROTECTION in scene.circuit.parts[e.part].traits
    )
    celsius, limits = left_hot(course.world)
    return [*heat.opened(opened), *heat.too_hot(celsius, limits).values()]


FEELING = (
    Act("touch", 0.3, _touch, (Need("id", "part", "the part"),), "touch {id}",
        "Touch", changes=False),
    Act("infrared", 0.3, _infrared, (Need("id", "part", "at"),), "spot thermometer at {id}",
        "Point the spot thermometer", changes=False),
    Act("wait", 0.0, _wait, (Need("time", "time", "for"),), "wait {time}", "Wait"),
    Act("record", 0.5, _record,
        (Need("red", "point", "from"), Need("black", "point", "to"), Need("time", "time", "for"),
         Need("where", "motion", otherwise="")),
        "least and most volts from {red} to {black} for {time} {where}",
        "Keep least and most volts"),
)  # fmt: skip  # rows that a reader compares
"""The acts about warmth and time."""
