"""Whether a circuit was made safe before hands went into it: isolated, tagged, proved dead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from labkit.aboard.acts import ACTS
from labkit.aboard.asking import DEAD, live_for_certain
from labkit.text.quantities import VOLTAGE, QuantityError


@dataclass(frozen=True)
class MadeSafe:
    """What was done before the first repair or the first connection taken apart.

    Attributes
    ----------
    hands : str
        What hands first went to, as the log says it; '' where they went nowhere.
    isolated : bool
        Something was opened and tagged before.
    proved : bool
        It was proved dead before: the meter on something live, the place, something live again.
    """

    hands: str = ""
    isolated: bool = False
    proved: bool = False

    @property
    def ok(self) -> bool | None:
        """Whether all was done; None where nothing asked for it."""
        return self.isolated and self.proved if self.hands else None

    def __str__(self) -> str:
        if not self.hands:
            return "No hands went into the circuit."
        if self.ok:
            return f"Made safe before hands went in ({self.hands}): isolated, tagged, proved dead."
        left = [] if self.isolated else ["isolate and tag what feeds it"]
        left += [] if self.proved else ["prove it dead: meter on a live point, the place, again"]
        return f"Not made safe before hands went in ({self.hands}): {'; '.join(left)}."


def made_safe(acts: Iterable[tuple[str, Mapping[str, str], str]], system: float = 12.0) -> MadeSafe:
    """Look through what was done, up to where hands first went into the circuit.

    Parameters
    ----------
    acts : iterable of (str, mapping, str)
        Each act's name, with what, and what it showed.
    system : float
        Nominal voltage. [V]
    """
    isolated = proved = False
    lately: list[float] = []  # readings of volts since the last isolation: live, dead, live proves
    for name, args, shows in acts:
        if name == "isolate":
            isolated, proved, lately = True, False, []
        elif name == "prove dead":
            proved = proved or shows.endswith(": dead")
        elif name == "read":
            lately = [*lately[-2:], _volts(args, shows)]
            proved = proved or _live_dead_live(lately, system)
        elif _hands(name, args):
            return MadeSafe(ACTS[name].said(args), isolated, proved and isolated)
    return MadeSafe("", isolated, proved)


def _hands(name: str, args: Mapping[str, str]) -> bool:
    """Tell whether an act takes tools to the circuit; the negative post is how one isolates."""
    if name == "part":
        return not (args["terminal"].startswith("G") and args["terminal"].endswith(":-"))
    return name in ACTS and ACTS[name].repairs


def _volts(args: Mapping[str, str], shows: str) -> float:
    """What a reading of volts showed; nan where it was another. [V]"""
    try:
        volts = args.get("function", "volts") == "volts"
        return abs(VOLTAGE.parse(shows.lstrip("-"))) if volts else float("nan")
    except QuantityError:
        return float("nan")


def _live_dead_live(read: list[float], system: float) -> bool:
    if len(read) != 3:
        return False
    known = (read[0], read[2])
    return read[1] < DEAD and all(live_for_certain(volts, system) for volts in known)
