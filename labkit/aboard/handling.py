"""Acts that change something: switches, connections, fuses, what is clipped on, repairs."""

from __future__ import annotations

from collections.abc import Iterable

from labkit.aboard.act import Act, Need, Outcome, Sense
from labkit.aboard.safety import clipped, heat, live
from labkit.aboard.scene import Scene
from labkit.aboard.setting import JUMPER, JUMPER_FUSE, test_lamp
from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import Hazard
from labkit.parts import Battery, Part, Switch, Trait
from labkit.parts.traits import LAMP_WORDS, LIGHT_EXPONENT, LIGHT_WORDS, word_for, words_in
from labkit.solving.solver import measure, solve
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import CURRENT, QuantityError

_OUT = "missing"
_OF_ITS_PLACE = ("resistance", "open")
"""Faults of a holder, which no other fuse mends."""


def _switch(scene: Scene, id: str, to: str) -> Outcome:
    scene.circuit = scene.circuit.with_position(**{id: to})
    return Outcome(to)


def _part(scene: Scene, terminal: str) -> Outcome:
    before, terminal = scene.circuit, scene.circuit.point(terminal)
    scene.circuit = before.with_parted(terminal)
    if live.positive_first(before, scene.circuit) or live.frees_negative(before, terminal):
        return Outcome("apart")  # that is told of as such, or the way to isolate it all
    return Outcome("apart", live.worked_live(before, [terminal], terminal))


def _join(scene: Scene, terminal: str) -> Outcome:
    terminal = scene.circuit.point(terminal)
    parted = scene.circuit.parted
    if terminal not in parted:
        raise CircuitError([f"'{terminal}' is not apart; {did_you_mean(terminal, parted)}"])
    scene.circuit = scene.circuit.with_joined(terminal)
    return Outcome("joined")


def _pull(scene: Scene, id: str) -> Outcome:
    part = scene.protection(id)
    state = scene.circuit.state_of(id)
    fitted = state.find("wrong fuse")
    looks = part.looks({fault.mode for fault in state.faults if fault is not fitted})
    if fitted:
        looks += f"{_MARKED}{fitted.amount}"
    if state.has("blown"):
        scene.seen_open.add(id)
    scene.circuit = scene.circuit.with_fault(f"{id} {_OUT}")
    scene.pulled.add(id)
    return Outcome(looks)


def _fit(scene: Scene, id: str, rating: str) -> Outcome:
    part = scene.protection(id)
    kept = [f for f in scene.circuit.faults if f.at(id)]
    sound = scene.circuit.without_faults(id)
    stay = [f for f in kept if f.mode in _OF_ITS_PLACE or f.to]
    fitted = sound.with_fault(*stay) if stay else sound
    if rating and Trait.CARTRIDGE in part.traits:
        try:
            CURRENT.parse(rating)
        except QuantityError as error:
            raise CircuitError([f"{id}: {error}"]) from None
        fitted = fitted.with_fault(f"{id} wrong fuse {rating}")
    # The very fuse that was in it, whole and of the rating drawn: no danger that was not there.
    back = id in scene.pulled and not rating and {f.mode for f in kept if f not in stay} <= {_OUT}
    scene.circuit = fitted
    scene.pulled.discard(id)
    scene.seen_open.discard(id)
    return Outcome(f"fitted {rating or part.rating}", [] if back else heat.fuse_size(fitted, id))


def _jumper(scene: Scene, first: str, second: str) -> Outcome:
    first, second = scene.circuit.point(first), scene.circuit.point(second)
    base = scene.circuit.without_bridge("jumper")
    hazards = clipped.bypass(base, first, second) + clipped.interlock(base, first, second)
    put = base.with_bridge("jumper", "jumper", first, second, JUMPER, JUMPER_FUSE)
    if "jumper" in solve(put).opened:
        scene.circuit = base
        hazards = [*hazards, clipped.jumper_blew(JUMPER_FUSE)]
        return Outcome("its fuse blew", hazards)
    scene.circuit = put
    return Outcome("in place", hazards)


def _test_lamp(scene: Scene, first: str, second: str) -> Outcome:
    first, second = scene.circuit.point(first), scene.circuit.point(second)
    law, base = test_lamp(scene.circuit), scene.circuit.without_bridge("test lamp")
    scene.circuit = base.with_bridge("test lamp", "test lamp", first, second, law)
    hazards = clipped.lamp_on_electronics(base, first, second)
    seen = measure(base, first, second, law).volts
    if seen is None:
        return Outcome("flickers", hazards)
    light = (abs(seen) / base.system) ** LIGHT_EXPONENT
    return Outcome(word_for(light, LAMP_WORDS), hazards)


def _lift(scene: Scene, what: str) -> Outcome:
    there = [b.id for b in scene.circuit.bridges]
    if what not in there:
        raise CircuitError([f"there is no '{what}' in place; {did_you_mean(what, there)}"])
    scene.circuit = scene.circuit.without_bridge(what)
    return Outcome("taken away")


def _repair(scene: Scene, id: str) -> Outcome:
    hazards, before = live.work_on(scene.circuit, id), scene.circuit
    if not before.state_of(id).faults:
        scene.needless.append(id)
    scene.circuit = before.without_faults(id)
    scene.pulled.discard(id)
    scene.seen_open.discard(id)
    return Outcome("mended", hazards)


def isolates(part: Part) -> bool:
    """Tell whether a part can be opened and tagged to cut a circuit off."""
    if isinstance(part, Switch) and part.guard:
        return False  # a guard is no disconnect: it follows the gearbox, not the hand
    plug = "parted" in part.settings()
    opens = part.off() or plug or Trait.PROTECTION in part.traits
    return bool(opens) or Trait.SOURCE in part.traits


def _isolate(scene: Scene, id: str) -> Outcome:
    """Open what cuts a circuit off and tag it, so that nobody closes it again meanwhile."""
    part = scene.circuit.part(id)
    if Trait.PROTECTION in part.traits:
        looks = _pull(scene, id)
        return Outcome(f"out ({looks.shows}), tagged")
    if Trait.SOURCE in part.traits and not part.off():  # an engine is stopped, a panel covered
        scene.circuit = scene.circuit.with_parted(live.posts(part)[0])
        return Outcome(f"{'negative off' if isinstance(part, Battery) else 'unplugged'}, tagged")
    off = part.off() or "parted"
    if not isolates(part):
        opens = [p.id for p in scene.circuit.parts.values() if isolates(p)]
        raise CircuitError([f"{id} is a {part.kind}; what isolates is {', '.join(opens)}"])
    scene.circuit = scene.circuit.with_position(**{id: off})
    return Outcome(f"{off}, tagged")


# -- what those that ask something may be answered with --------------------------------------------

_MARKED = ", marked "


def _glows(circuit: Circuit, first: str, second: str = "") -> tuple[str, ...]:
    return words_in(LIGHT_WORDS)


def _pulled(circuit: Circuit, id: str, _: str = "") -> tuple[str, ...]:
    return circuit.part(id).bared()


def _fitted(circuit: Circuit, id: str, _: str = "") -> tuple[str, ...]:
    return ("holds", "opens again") if circuit.part(id).bared() else ()


def _size(shows: str, hazards: Iterable[Hazard], id: str) -> str:
    return "wrong size fitted" if _MARKED in shows else shows


def _held(shows: str, hazards: Iterable[Hazard], id: str) -> str:
    return "opens again" if any(h.kind == "fuse opened" for h in hazards) else "holds"


def _fuses(circuit: Circuit) -> Iterable[tuple[str, str]]:
    return [(p.id, "") for p in circuit.parts.values() if p.bared()]


_ENDS = (Need("first", "point", "from"), Need("second", "point", "to"))


def _fuse_places(circuit: Circuit) -> list[tuple[str, str]]:
    """Both sides of each fuse and breaker: what it stands for when it has opened is told there."""
    guards = (p for p in circuit.parts.values() if Trait.PROTECTION in p.traits and not p.hidden)
    return [(f"{part.id}:1", f"{part.id}:2") for part in guards]


HANDLING = (
    Act("switch", 0.2, _switch, (Need("id", "contact"), Need("to", "word")), "switch {id}"),
    Act(
        "pull", 0.5, _pull, (Need("id", "protection", "the fuse"),), "pull {id}",
        "Pull and look at",
        Sense(_pulled, "pulling {red}", _fuses, "found", "it is ", _size, beside="fit"),
    ),
    Act(
        "fit", 0.5, _fit,
        (Need("id", "gap", "the fuse"),
         Need("rating", "rating", "with one", otherwise="")),
        "fit {id}", "Fit or reset",
        Sense(_fitted, "{red} renewed or set again", _fuses, "in use", told=_held, beside="pull",
              risks="opens again"),
    ),
    Act(
        "part", 2.0, _part, (Need("terminal", "terminal", "at"),), "take apart {terminal}",
        "Take a connection apart", hands=True,
    ),
    Act("join", 2.0, _join, (Need("terminal", "parted", "at"),), "join {terminal}", "Join again",
        hands=True),
    Act(
        "jumper", 1.0, _jumper, _ENDS, "jumper {first} to {second}", "Put the fused jumper",
    ),
    Act(
        "test lamp", 1.0, _test_lamp, _ENDS, "test lamp {first} to {second}", "Put the test lamp",
        Sense(_glows, "the test lamp from {red} to {black}", _fuse_places, "found"),
    ),
    Act("lift", 0.2, _lift, (Need("what", "bridge", "the"),), "take away {what}", "Take away"),
    Act(
        "isolate", 1.0, _isolate, (Need("id", "isolator", "at"),), "isolate {id}",
        "Isolate and tag", hands=True,
    ),
    Act(
        "repair", 10.0, _repair, (Need("id", "part", "the part"),), "mend {id}", "Mend or replace",
        repairs=True, hands=True,
    ),
)  # fmt: skip  # rows that a reader compares
"""The acts that change something."""
