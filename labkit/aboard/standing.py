"""How things stand at a bench, as plain data: a long log is gone on with and not done anew.

What is told here is all there is, faults and warmth included: it is for the program that goes on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from labkit.aboard.bench import Bench, Entry
from labkit.aboard.setting import Setting
from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import Hazard, Reading

Data = dict[str, Any]


def standing(bench: Bench, base: Circuit, since: int = 0) -> Data | None:
    """Return how things stand.

    Parameters
    ----------
    bench : Bench
    base : Circuit
        With which it was begun.
    since : int
        Lines of the log that were told of before.

    Returns
    -------
    dict or None
        None where the boat has become one that cannot be told of in so few words.
    """
    scene = bench._scene
    waiting, states, surfaces = scene.warmth.kept
    boats = list(
        {id(boat): boat for boat in (*(one for one, _ in waiting), scene.circuit)}.values()
    )
    told = [_told(boat) for boat in boats]
    if any(_boat(base, how) != boat for how, boat in zip(told, boats, strict=True)):
        return None
    where = {id(boat): number for number, boat in enumerate(boats)}
    return {
        "boats": told,
        "here": where[id(scene.circuit)],
        "waiting": [[where[id(boat)], seconds] for boat, seconds in waiting],
        "warm": {id: list(state) for id, state in states.items()},
        "surfaces": surfaces,
        "clamp": scene.clamp.kept,
        "reads": scene.reads,
        "traced": sorted(scene.traced),
        "seen open": sorted(scene.seen_open),
        "pulled": sorted(scene.pulled),
        "needless": scene.needless,
        "said": sorted(scene.said),
        "reached": sorted(bench.reached),
        "log": [_line(entry) for entry in bench.log[since:]],
    }


def stand(
    bench: Bench,
    base: Circuit,
    told: Sequence[Mapping[str, Any]],
    acts: Sequence[Mapping[str, Any]],
) -> None:
    """Bring a bench to where it stood.

    Parameters
    ----------
    bench : Bench
        At its beginning.
    base : Circuit
        With which it was begun.
    told : sequence of dict
        Each by :func:`standing`, since the one before it.
    acts : sequence of dict
        The lines of the log, each by :meth:`.Entry.as_json`.
    """
    last, scene = told[-1], bench._scene
    boats = [_boat(base, how) for how in last["boats"]]
    scene.circuit = boats[last["here"]]
    scene.warmth.take_up(
        [(boats[number], seconds) for number, seconds in last["waiting"]],
        {id: tuple(state) for id, state in last["warm"].items()},
        dict(last["surfaces"]),
    )
    scene.clamp.take_up(last["clamp"])
    scene.reads, scene.needless = last["reads"], list(last["needless"])
    scene.traced, scene.seen_open = set(last["traced"]), set(last["seen open"])
    scene.pulled, scene.said = set(last["pulled"]), set(last["said"])
    bench.reached = set(last["reached"])
    lines = [line for one in told for line in one["log"]]
    bench.log[:] = [_entry(act, line) for act, line in zip(acts, lines, strict=True)]


def _told(boat: Circuit) -> Data:
    return {
        "faults": [str(fault) for fault in boat.faults],
        "positions": dict(boat.positions),
        "parted": sorted(boat.parted),
        "bridges": [[bridge.id, bridge.first, bridge.second] for bridge in boat.bridges],
    }


def _boat(base: Circuit, told: Mapping[str, Any]) -> Circuit:
    bare = base.without_faults().but(parted=frozenset(), bridges=())
    bridges = {id: (first, second) for id, first, second in told["bridges"]}
    made = Setting(told["positions"], frozenset(told["parted"]), bridges=bridges).applied(bare)
    return made.with_fault(*told["faults"])


def _line(entry: Entry) -> list[Any]:
    """What a line of the log does not say: the state, all figures of its minutes and reading."""
    return [entry.minutes, _setting(entry.setting), _reading(entry.reading)]


def _entry(act: Mapping[str, Any], line: Sequence[Any]) -> Entry:
    minutes, setting, read = line
    hazards = tuple(Hazard(one["kind"], one["text"]) for one in act["hazards"])
    positions, parted, out, bridges = setting
    state = Setting(
        positions,
        frozenset(parted),
        frozenset(out),
        {id: tuple(places) for id, places in bridges.items()},
    )
    reading = None
    if read is not None:
        *figures, dangers, opened, void = read
        function, red, black, value, unit, low, high, tone, floating = figures
        reading = Reading(
            function,
            red,
            black,
            act["shows"],
            value,
            unit,
            low,
            high,
            tone,
            floating,
            hazards[:dangers],
            tuple(opened),
            void,
        )
    return Entry(
        act["number"], act["action"], act["args"], act["shows"], minutes, hazards, reading, state
    )


def _setting(one: Setting) -> list[Any]:
    bridges = {id: list(places) for id, places in one.bridges.items()}
    return [dict(one.positions), sorted(one.parted), sorted(one.out), bridges]


def _reading(one: Reading | None) -> list[Any] | None:
    return (
        None
        if one is None
        else [
            one.function,
            one.red,
            one.black,
            one.value,
            one.unit,
            one.low,
            one.high,
            one.tone,
            one.floating,
            len(one.hazards),
            list(one.opened),
            one.void,
        ]
    )
