"""How to make a part dead: what to open and tag, in which order, with no danger in it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from labkit.aboard.acts import ACTS
from labkit.aboard.asking import ANOTHER, live_for_certain
from labkit.aboard.handling import isolates
from labkit.aboard.safety.live import posts, work_on
from labkit.aboard.scene import Scene
from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import read
from labkit.parts import Trait


def isolation(circuit: Circuit, id: str) -> tuple[str, ...]:
    """Return what to isolate, one after the other, so that a part is dead and stays so.

    The nearest switch, fuse or breaker that does it alone; else everything off and the negatives
    of the sources.

    Parameters
    ----------
    circuit : Circuit
        As it is, with whatever is wrong with it.
    id : str
        Of the part that hands are to go to.

    Returns
    -------
    tuple of str
        Ids for the act 'isolate'; () where nothing makes it dead.
    """
    for way in _ways(circuit, id):
        scene = Scene(circuit)
        danger = [h for one in way for h in scene.do(ACTS["isolate"], {"id": one}).hazards]
        # A broken part is dead with nothing isolated, until a hand moves it or mends it.
        whole = scene.circuit.without_faults(id)
        if not danger and not work_on(scene.circuit, id) and not work_on(whole, id):
            return way
    return ()


def still_live(circuit: Circuit, way: Iterable[str]) -> str:
    """Return what the meter can be tried on with all of a way isolated.

    A source that shows its volts then, a battery before what charges one; where none does, a
    battery brought along.
    """
    scene = Scene(circuit)
    for id in way:
        scene.do(ACTS["isolate"], {"id": id})
    there = scene.circuit
    sources = [p for p in there.parts.values() if Trait.SOURCE in p.traits]
    for part in sorted(sources, key=lambda p: Trait.CHARGES in p.traits):
        plus, minus = f"{part.id}:+", f"{part.id}:-"
        if plus in there.node_of and live_for_certain(
            read(there, plus, minus).value or 0.0, there.system
        ):
            return part.id
    return ANOTHER


def _ways(circuit: Circuit, id: str) -> Iterator[tuple[str, ...]]:
    """Ways to isolate worth a try, the least trouble first; what charges is stopped first."""
    parts = [p for p in circuit.parts.values() if isolates(p) and not p.hidden]
    near = _before(circuit, id)
    giving = [p for p in parts if Trait.SOURCE in p.traits and posts(p)[0] in circuit.node_of]
    giving.sort(key=lambda p: Trait.CHARGES not in p.traits)  # it needs its battery while it runs
    sources = tuple(p.id for p in giving)
    feeds = {
        s.part
        for r in circuit.runs
        for s in r.passes
        if any(Trait.CHARGES in circuit.parts[x.part].traits for x in r.passes)
    }
    on = [p.id for p in parts if p.off() and circuit.positions.get(p.id) != p.off()]
    still = tuple(sorted(reversed(on), key=lambda one: one not in feeds))
    opens = [p.id for p in parts if p.id != id and Trait.SOURCE not in p.traits]
    nearest = sorted(reversed(opens), key=lambda one: near.index(one) if one in near else 99)
    yield from ((one,) for one in nearest if one in near or one in still)
    yield from ((one,) for one in nearest if one not in near and one not in still)
    for others in ((), *((one,) for one in still), still):
        if others:
            yield from ((*others, one) for one in nearest if one not in others)
        yield tuple(dict.fromkeys((*others, *sources)))


def _before(circuit: Circuit, id: str) -> list[str]:
    """What a part's own run passes before it, the nearest first."""
    for run in circuit.runs:
        passed = [step.part for step in run.passes]
        if id in passed:
            return passed[: passed.index(id)][::-1]
    return []
