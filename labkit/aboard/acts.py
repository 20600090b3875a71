"""The table of everything that can be done at a circuit. A new act is one record in it."""

from __future__ import annotations

from labkit.aboard.act import Act
from labkit.aboard.asking import ASKING
from labkit.aboard.feeling import FEELING
from labkit.aboard.handling import HANDLING
from labkit.aboard.load_testing import TESTING
from labkit.text.messages import CircuitError, did_you_mean

ACTS: dict[str, Act] = {act.name: act for act in (*ASKING, *FEELING, *TESTING, *HANDLING)}
"""Acts by name."""


def act_named(name: str) -> Act:
    """Return an act by its name.

    Raises
    ------
    CircuitError
        If there is none.
    """
    if name not in ACTS:
        raise CircuitError([f"there is no act '{name}'; {did_you_mean(name, ACTS)}"])
    return ACTS[name]
