"""What is left after what was seen: names with beliefs, whether the boat fits, and what next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Evidence
from labkit.ownboat.advice import SURE, Advice, Adviser, confirmed, group_of
from labkit.ownboat.fit import chance_of
from labkit.ownboat.inference import BELIEVED_SLIP, Inference
from labkit.ownboat.scales import off_scale

UNFIT = 0.01
"""A boat as drawn would read so far off with less than this chance: it does not fit."""

STRANGE = 0.2
"""Nor does it fit where something unlisted is believed this much."""

TWO = 0.5
"""Nor where one fault alone is believed less than that something else stands beside it."""

UNCONFIRMED = 0.94
"""No name stands higher before one reading was taken at the part itself."""

DOUBTED = 0.90
"""No name stands higher where the boat does not fit its drawing."""

SHOWN = 0.005
"""Names believed less are left out."""

FALLEN = 1e-3
"""A name has fallen once it is believed less than this share of the best."""


@dataclass(frozen=True)
class Left:
    """A name and how far it is believed."""

    name: str
    belief: float

    @property
    def part(self) -> str:
        """Id of the part."""
        return self.name.partition(" ")[0].partition(":")[0]

    @property
    def mode(self) -> str:
        """How it fails, as a file calls it."""
        return self.name.partition(" ")[2]


@dataclass(frozen=True)
class Farthest:
    """The reading that goes least with the best explanation, and what that one foretold."""

    evidence: Evidence
    low: float
    high: float
    off: float


@dataclass(frozen=True)
class Remains:
    """What is left.

    Attributes
    ----------
    remains : list of Left
        The likeliest first.
    unlisted : float
        Belief in none of them.
    fits : bool
    farthest : Farthest or None
    group : tuple of str
        The likeliest name and those that no test in reach parts from it.
    confirmed : bool
        Whether a reading was taken at a part of the group.
    settled : bool
        Whether that is the answer.
    next : list of Advice
    """

    remains: list[Left]
    unlisted: float
    fits: bool
    farthest: Farthest | None
    group: tuple[str, ...]
    confirmed: bool
    settled: bool
    next: list[Advice]


def remains(
    adviser: Adviser, inference: Inference, visit: Visit, top: int = 5, every: bool = False
) -> Remains:
    """Say what is left.

    Parameters
    ----------
    every : bool
        Advise even where it is settled.
    """
    beliefs = inference.by_name
    group = group_of(adviser, inference)
    held = sum(beliefs[name] for name in group)
    fits, farthest = _fit(inference)
    sure = confirmed(adviser, inference, group)
    settled = held >= SURE and sure
    found: list[Advice] = []
    if held >= SURE and not sure:
        found = adviser.confirming(inference, group[0], visit)
        settled = not found
    if not settled or every:
        ranked = adviser.rank(inference, visit, top)
        found = (found + ranked)[:top]
    most = min(1.0, DOUBTED if not fits else 1.0, UNCONFIRMED if not sure else 1.0)
    if not fits:
        settled = settled and not found
    scale = min(1.0, most / held) if held > 0 else 1.0
    total = sum(beliefs.values())
    norm = min(1.0, (1 - inference.unlisted) / total) if total > 0 else 1.0
    left = [Left(n, b * scale * norm) for n, b in beliefs.items() if b * scale * norm >= SHOWN]
    unlisted = max(0.0, 1.0 - sum(b * scale * norm for b in beliefs.values()))
    return Remains(left, unlisted, fits, farthest, tuple(group), sure, settled, found)


def _fit(inference: Inference) -> tuple[bool, Farthest | None]:
    numbers, weighed = inference.numbers, inference.weighed
    if weighed is None:
        return True, None
    alone = float(inference.belief.max(initial=0.0))
    row = int(inference.shares.argmax())
    misfit = float(weighed.misfit[row])
    pairs = inference.pairs
    if pairs.belief.size and float(pairs.belief.max()) > alone:
        row, place = np.unravel_index(int(pairs.belief.argmax()), pairs.belief.shape)  # type: ignore[assignment]
        misfit = float(pairs.misfit[row, place])
    fits = chance_of(misfit, len(numbers)) > UNFIT
    fits = fits and float(weighed.slips[row].max(initial=0.0)) <= BELIEVED_SLIP
    fits = fits and bool(inference.unlisted < STRANGE and pairs.belief.sum() < TWO)
    worst = int(np.abs(weighed.off[row]).argmax())
    return fits, _farthest(worst, row, inference)


def _farthest(place: int, row: int, inference: Inference) -> Farthest:
    """What the others foretell of one reading, two standard deviations to either side."""
    weighed, number = inference.weighed, inference.numbers[place]
    assert weighed is not None
    error = float(weighed.solved[row, place])
    inverse = float(weighed.inverse[row, place, place])
    middle, sd = number.seen - error / inverse, inverse**-0.5
    function = number.evidence.function
    low, high = (off_scale(function, middle + k * 2 * sd) for k in (-1, 1))
    return Farthest(number.evidence, low, high, float(weighed.off[row, place]))


def fallen(inference: Inference, steps: Sequence[object]) -> dict[str, int]:
    """Names that have fallen, and the number of what was seen (from 1) after which each had."""
    found: dict[str, int] = {}
    part = Inference(inference.boat)
    for number, item in enumerate(steps, 1):
        part.see(item)  # type: ignore[arg-type]
        beliefs = part.by_name
        best = max(beliefs.values())
        for name, belief in beliefs.items():
            if belief >= FALLEN * best:
                found.pop(name, None)
            else:
                found.setdefault(name, number)
    return found
