"""Hands in a circuit that is not dead: work on it, connections opened under load, sources dropped.

What an act opened is read off the circuit before and after it, so that it is told alike whatever
opened it: a switch, a spanner, a fuse pulled.
"""

from __future__ import annotations

from collections.abc import Iterator

from labkit.circuits.circuit import Circuit
from labkit.circuits.tracing import Run
from labkit.measuring.meter import Hazard
from labkit.parts import Battery, Part, Trait
from labkit.parts.wiring import Changeover
from labkit.solving.solver import OperatingPoint, solve
from labkit.text.quantities import show

ARC = 1.0
"""A plug, fuse or lug opened with more than this draws an arc. [A] Common practice, no source."""

SWITCH_ARC = 100.0
"""A switch opened with more than this burns: battery switches are rated to carry a starter's
current, not to break it. [A] Our choice, after common practice."""

LIVE_VOLTS = 1.2
"""A place with more than this against the negative is not dead. [V] Our choice: metals in the sea
make some 0.8 V between them with every source taken off, and harm nobody."""

LIVE_AMPS = 0.05
"""A current that counts: more than a radio's memory draws, less than any lamp. [A] Our choice."""

CHARGING = 0.5
"""A battery that takes more than this is being charged. [A] Our choice."""


# -- work ---------------------------------------------------------------------------------------


def worked_live(circuit: Circuit, places: list[str], what: str) -> list[Hazard]:
    """Name the danger of cutting, mending or taking apart where it is not dead.

    Parameters
    ----------
    circuit : Circuit
        Before the work.
    places : list of str
        Terminals that hands and tools get at.
    what : str
        What is worked on, for the sentence.
    """
    point = solve(circuit)
    flows = max((abs(point.at_terminal(t) or 0.0) for t in places), default=0.0)
    stands = [_volts(circuit, point, t) for t in places]
    live = max(stands, default=0.0)
    if flows <= LIVE_AMPS and live <= LIVE_VOLTS:
        return []
    found = f"{live:.1f} V stood there"
    if flows > LIVE_AMPS:
        found = f"{show(flows, 'A', 2)} flowed there"
    return [
        Hazard(
            "worked live",
            f"{what} was worked on with its source not isolated: {found}. A slipped tool there is "
            "a short and a burn. Isolate and tag what feeds it, prove it dead, then work.",
        )
    ]


def work_on(circuit: Circuit, id: str) -> list[Hazard]:
    """Name the danger of mending or changing a part; a source is ready once it is cut off."""
    part = circuit.part(id)
    met = [place for t in part.terminals if (place := f"{id}:{t}") in circuit.node_of]
    if Trait.SOURCE in part.traits and circuit.positions.get(id, "") != part.off():
        text = (
            f"{id} was worked on while it was running: a belt takes fingers, and what it gives has "
            "nowhere to go. Stop it (a panel in the sun is covered), isolate it, prove it dead."
        )
        return [Hazard("worked live", text)]
    return [] if _cut_off(circuit, part) else worked_live(circuit, met, id)


def _cut_off(circuit: Circuit, part: Part) -> bool:
    """Tell whether a source is apart from the boat: its negative off, or a switch in its run.

    One that stands still is not: the battery is still on its positive stud.
    """
    if Trait.SOURCE not in part.traits:
        return False
    negative = posts(part)[0]
    plus = posts(part)[1]
    own = [r for r in circuit.runs if any(plus in (s.first, s.second) for s in r.passes)]
    beside = [id for run in own for id in _ids(run) if id != part.id]
    switched = any(circuit.positions.get(i) == circuit.parts[i].off() != "" for i in beside)
    free = negative in circuit.node_of and apart(circuit, negative)
    return free or (Trait.CHARGES in part.traits and switched)


def _ids(run: Run) -> list[str]:
    return [step.part for step in run.passes]


def _volts(circuit: Circuit, point: OperatingPoint, terminal: str) -> float:
    """Voltage of a place against the negative; the boat's own where it will not settle. [V]"""
    volts = point.volt(terminal)
    if volts is None:
        return 0.0 if circuit.node_of[terminal] in point.floating else circuit.system
    return abs(volts)


def posts(part: Part) -> tuple[str, str]:
    """Negative and positive post of a source."""
    return f"{part.id}:-", f"{part.id}:+"


def apart(circuit: Circuit, post: str) -> bool:
    """Tell whether nothing is left on a post."""
    here, places = circuit.node_of[post], circuit.node_of.items()
    return sum(node == here for place, node in places if ":" in place) == 1


def frees_negative(circuit: Circuit, terminal: str) -> bool:
    """Tell whether to take a terminal apart is to take the negative off a battery at rest."""
    amps = abs(solve(circuit).at_terminal(terminal) or 0.0)
    negatives = [posts(p)[0] for p in circuit.parts.values() if isinstance(p, Battery)]
    after = circuit.with_parted(terminal)
    return amps <= ARC and any(
        apart(after, post) and not apart(circuit, post)
        for post in negatives
        if post in circuit.node_of
    )


def positive_first(before: Circuit, after: Circuit) -> list[Hazard]:
    """Name a positive post freed while the negative of its battery is still on."""
    found = []
    for part in before.parts.values():
        if not isinstance(part, Battery) or not {*posts(part)} <= before.node_of.keys():
            continue
        negative, positive = posts(part)
        freed = apart(after, positive) and not apart(before, positive)
        if freed and abs(solve(before).volt(negative) or 0.0) < 1.0 and not apart(before, negative):
            text = (
                f"The positive of {part.id} was taken off with its negative still on: a spanner "
                "that touches metal of the boat is then across the battery. Take the negative off "
                "first, and put it on last."
            )
            found.append(Hazard("positive first", text))
    return found


# -- opened under load ----------------------------------------------------------------------------


def opened_under_load(before: Circuit, after: Circuit) -> list[Hazard]:
    """Name what was opened while it carried more than it may break."""
    point = solve(before)
    return [
        Hazard(
            "parted under load",
            f"{what} carried {show(amps, 'A', 2)} when it was opened. That draws an arc, which "
            f"burns the contact and lights fuel vapour or battery gas: {instead}.",
        )
        for what, amps, most, instead in _opened(before, after, point)
        if amps > most
    ]


def _opened(
    before: Circuit, after: Circuit, point: OperatingPoint
) -> Iterator[tuple[str, float, float, str]]:
    """What an act opened: its name, what it carried, what it may break, what to do instead."""
    for terminal in sorted(after.parted - before.parted):
        amps = abs(point.at_terminal(terminal) or 0.0)
        yield f"The connection at {terminal}", amps, ARC, "switch off first"
    out = {f.part for f in after.faults if f.mode == "missing"}
    for id in sorted(out - {f.part for f in before.faults if f.mode == "missing"}):
        most = ARC if Trait.CARTRIDGE in before.parts[id].traits else SWITCH_ARC
        yield id, abs(point.amps[id] or 0.0), most, "switch off first"
    moved = [id for id, to in after.positions.items() if before.positions.get(id) != to]
    now = solve(after) if moved else point
    for id in moved:
        plug = not before.parts[id].off()
        for way in _ways(before.parts[id]):
            if not now.amps.get(way):
                carried = abs(point.amps.get(way) or 0.0)
                instead = "switch off first" if plug else "let what it feeds be switched off first"
                yield id, carried, ARC if plug else SWITCH_ARC, instead


def _ways(part: Part) -> list[str]:
    ways = part.ways()
    return [part.id] if len(ways) == 1 else [f"{part.id} {a}-{b}" for a, b in ways]


# -- sources --------------------------------------------------------------------------------------


def source_dropped(before: Circuit, after: Circuit) -> list[Hazard]:
    """Name a battery taken off, or a selector turned through off, while something charges."""
    point = solve(before)
    charged = _charged(before, point)
    if not charged:
        return []
    left = [id for id in charged if id not in _charged(after, solve(after))]
    opened = any(True for _ in _opened(before, after, point))  # else a load only takes the charge
    if left and opened and not _switched_off(before, after):
        what = f"{left[0]} was taken off"
    elif turned := _through_off(before, after):
        what = f"{turned} was turned through off"
    else:
        return []
    text = (
        f"{what} while it was being charged. What charges then has no battery to hold it down: its "
        "voltage jumps and kills diodes and electronics. Stop what charges first."
    )
    return [Hazard("source dropped", text)]


def _charged(circuit: Circuit, point: OperatingPoint) -> list[str]:
    """Batteries that take a charge from a source that is no battery."""
    gives = [p.id for p in circuit.parts.values() if Trait.CHARGES in p.traits]
    if not any((point.amps[id] or 0.0) > CHARGING for id in gives):
        return []
    held = [p.id for p in circuit.parts.values() if isinstance(p, Battery)]
    return [id for id in held if (point.amps[id] or 0.0) < -CHARGING]


def _switched_off(before: Circuit, after: Circuit) -> bool:
    """Tell whether a switch of a charging source's own was turned off, which is the right way."""
    moved = {id for id, to in after.positions.items() if before.positions.get(id) != to}
    own = [
        run
        for run in before.runs
        if any(Trait.CHARGES in before.parts[i].traits for i in _ids(run))
    ]
    return any(moved & {*_ids(run)} for run in own)


def _through_off(before: Circuit, after: Circuit) -> str:
    """A selector that was turned to off, or past it on the way, as it is printed on it."""
    for id, to in after.positions.items():
        part, since = before.parts[id], before.positions.get(id, "")
        if isinstance(part, Changeover) and since != to and part.off():
            words = list(part.settings())
            first, last = sorted((words.index(since), words.index(to)))
            if part.off() in words[first : last + 1] and since != part.off():
                return id
    return ""
