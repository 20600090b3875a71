"""What simulated learners made of the shipped hunts: how many failed, and which rules go wrong.

The table `played.toml` beside this module is written by `python -m tests.learners --write`. It says
what programs do, not what people do.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

LEVELS = (0.2, 0.35, 0.5, 0.65)
"""Shares of learners that fail up to which levels 1 to 4 go; beyond is 5. Chosen."""


@dataclass(frozen=True)
class Trial:
    """One hunt as simulated learners played it.

    Attributes
    ----------
    failed : float
        Share of them that did not bring it to a proven end without a wrong name or a danger.
    harms : tuple of str
        Wrong rules and habits that cost a quarter more than the right ones there.
    """

    failed: float
    harms: tuple[str, ...] = ()

    @property
    def level(self) -> int:
        """From 1, plain, to 5."""
        return 1 + sum(self.failed > bound for bound in LEVELS)


@cache
def trials() -> Mapping[str, Trial]:
    """Return the hunts that were played, by title."""
    text = files("labkit.hunts").joinpath("played.toml").read_text(encoding="utf-8")
    return {
        str(row["title"]): Trial(float(row["failed"]), tuple(row["harms"]))
        for row in tomllib.loads(text).get("hunt", ())
    }
