"""What was seen stays drawn: what loads did when they were looked at, for as long as that holds."""

from __future__ import annotations

from collections.abc import Hashable, Mapping

from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench


class Sights:
    """What was looked at, kept by how the boat was then.

    A load seen to turn with its switch on is drawn so again whenever the switch is on and nothing
    else was changed; where nobody has looked, it is drawn as if nothing moved.

    Parameters
    ----------
    bench : Bench
        What was done at it before, too, is taken account of.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._known: dict[Hashable, dict[str, str]] = {}
        self._read = 0
        for entry in bench.log:  # how the boat was then is known of the last state alone
            if ACTS[entry.action].changes:
                self._known.clear()
            self._note(entry.action, entry.args, entry.shows)
        self._read = len(bench.log)

    @property
    def now(self) -> dict[str, str]:
        """What loads, and a test lamp that is on, were seen to do as the boat now is."""
        for entry in self.bench.log[self._read :]:
            self._note(entry.action, entry.args, entry.shows)
        self._read = len(self.bench.log)
        return self._known.get(self._state, {})

    @property
    def _state(self) -> Hashable:
        """All that a hand can have changed."""
        bench = self.bench
        boat = bench.circuit
        bridges = tuple((b.id, b.first, b.second) for b in boat.bridges)
        repaired = sum(ACTS[entry.action].repairs for entry in bench.log)
        return tuple(boat.positions.items()), boat.parted, bridges, boat.faults, repaired

    def _note(self, action: str, args: Mapping[str, str], shows: str) -> None:
        seen = self._known.setdefault(self._state, {})
        if action == "look":
            seen[args["id"]] = shows
        elif action == "test lamp":
            seen["test lamp"] = shows
