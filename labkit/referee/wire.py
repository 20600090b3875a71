"""What goes to and fro between a learner's kernel and the referee, as plain data.

Nothing but what an eye, an ear or a meter tells is sent: the display and not the volts behind it,
switches and gaps and what is clipped on, and never a fault, a candidate or a verdict.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from labkit.aboard.bench import Bench, Entry
from labkit.aboard.setting import Setting
from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import Hazard, Reading

Data = dict[str, Any]


def view(bench: Bench) -> Data:
    """Return what is to be seen at a bench without measuring."""
    seen = bench.drawn
    return {
        "positions": dict(seen.positions),
        "parted": sorted(seen.parted),
        "bridges": [[b.id, b.first, b.second] for b in seen.bridges],
        "pulled": sorted(bench.pulled),
        "seen_open": sorted(bench.seen_open),
        "traced": sorted(bench.traced),
    }


def as_seen(sound: Circuit, seen: Mapping[str, Any]) -> Circuit:
    """Return a sound circuit as a view has it: switches, gaps and what is clipped on."""
    bridges = {id: (first, second) for id, first, second in seen["bridges"]}
    there = Setting(seen["positions"], frozenset(seen["parted"]), bridges=bridges)
    return there.applied(sound)


def told(entry: Entry) -> Data:
    """Return a line of the log; of a reading only what the meter shows."""
    reading = entry.reading
    shown = reading and {
        "tone": reading.tone,
        "function": reading.function,
        "red": reading.red,
        "black": reading.black,
    }
    return {**entry.as_json(), "reading": shown}


def entry_of(line: Mapping[str, Any], setting: Setting) -> Entry:
    """Return the line of the log that was told of."""
    hazards = tuple(Hazard(one["kind"], one["text"]) for one in line["hazards"])
    shown, reading = line["reading"], None
    if shown:
        reading = Reading(
            shown["function"],
            shown["red"],
            shown["black"],
            line["shows"],
            None,
            "",
            float("-inf"),
            float("inf"),
            tone=shown["tone"],
            hazards=hazards,
        )
    return Entry(
        line["number"],
        line["action"],
        line["args"],
        line["shows"],
        line["minutes"],
        hazards,
        reading,
        setting,
    )
