"""What to measure aboard, step by step, whatever it shows: the advice worked out beforehand."""

from __future__ import annotations

import copy
import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from labkit.diagnosis.cost import Visit, places
from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.diagnosis.information import xlogx
from labkit.diagnosis.outcomes import Outcome, stretches, words
from labkit.measuring.meter import FUNCTIONS
from labkit.ownboat.advice import Advice, Adviser
from labkit.ownboat.forecast import OVER_RANGE
from labkit.ownboat.inference import Inference, Word
from labkit.ownboat.remains import Left, remains
from labkit.ownboat.scales import off_scale
from labkit.solving.arrays import Array, Numbers

STEPS = 40
"""So many steps are worked out, the likeliest to be needed first. Our choice."""

MOST_WAYS = 4
"""Outcomes of a step: more cannot be taken in at a glance. Our choice."""

RARE = 0.02
"""An outcome of less chance is joined to the one beside it. Our choice."""

ASIDE = 0.1
"""Chance that somebody cannot get there. Our choice."""

NEVER = 1e-4
"""Chance of an outcome that a row does not foretell: somebody may have read it wrong. Our
choice."""

RANKED = 12
NAMED = 4


@dataclass(frozen=True)
class Way:
    """One outcome of a step.

    Attributes
    ----------
    low, high : float
        Readings it holds, in SI units; infinite at the ends, nan for a word.
    word : str
        What is seen, or 'OL', 'unsteady', where it is no number.
    chance : float
    to : int
        Number of the step it leads to.
    """

    low: float
    high: float
    word: str
    chance: float
    to: int


@dataclass
class Step:
    """One place in the plan.

    Attributes
    ----------
    number : int
    left : list of Left
        What is left there, the likeliest first.
    measurement : Measurement or None
    confirms : bool
        Whether it is the reading at the named part.
    ways : list of Way
    otherwise : int or None
        The step to take where one cannot get there.
    named : tuple of str
        What it is, where the plan ends; several where no test in reach parts them.
    open : bool
        Whether the plan was not worked out any further.
    follows : tuple of float
        Of volts: how far the reading goes up with each battery.
    """

    number: int
    left: list[Left] = field(default_factory=list)
    measurement: Measurement | None = None
    confirms: bool = False
    ways: list[Way] = field(default_factory=list)
    otherwise: int | None = None
    named: tuple[str, ...] = ()
    open: bool = False
    follows: tuple[float, ...] = ()


@dataclass
class _State:
    """What is known at a step."""

    inference: Inference
    visit: Visit
    shut: frozenset[str] = frozenset()


def plan(adviser: Adviser, inference: Inference, visit: Visit, steps: int = STEPS) -> list[Step]:
    """Work out a plan; its first step is where to begin.

    Parameters
    ----------
    steps : int
        How many are worked out.
    """
    made = [Step(0)]
    states = {0: _State(inference, visit)}
    waiting = [(-1.0, 0)]
    for _ in range(steps):
        if not waiting:
            break
        reach, number = heapq.heappop(waiting)
        for chance, state in _expand(adviser, made[number], states.pop(number), len(made)):
            child = Step(len(made))
            made.append(child)
            states[child.number] = state
            heapq.heappush(waiting, (reach * chance, child.number))
    for number, state in states.items():
        step = made[number]
        step.left, step.open = _left(state.inference), True
    return made


def _left(inference: Inference) -> list[Left]:
    every = [Left(name, belief) for name, belief in inference.by_name.items() if belief > 0.02]
    return every[:NAMED]


def _expand(adviser: Adviser, step: Step, state: _State, first: int) -> list[tuple[float, _State]]:
    """Fill in a step; return the states it leads to, numbered from `first`, and their chances."""
    inference, visit = state.inference, state.visit
    found = remains(adviser, inference, visit, RANKED, every=True)
    step.left = found.remains[:NAMED]
    few = len(found.group) <= NAMED
    if found.settled and few:
        step.named = found.group
        return []
    for advice in found.next:
        there = _places(advice.measurement, visit)
        seen = (
            []
            if state.shut & there or (advice.confirms and not few)
            else (_outcomes(advice, inference))
        )
        if len(seen) > 1:
            break
    else:
        step.open = True
        return []
    step.measurement, step.confirms = advice.measurement, advice.confirms
    made: list[tuple[float, _State]] = []
    for outcome in seen:
        after, walked = _after(advice, outcome, inference), visit.copy()
        walked.go(advice.measurement)
        step.ways.append(_way(advice, outcome, first + len(made)))
        made.append((outcome.chance, _State(after, walked, state.shut)))
    step.otherwise = first + len(made)
    shut = state.shut | {_farthest(advice.measurement, visit)}
    made.append((ASIDE, _State(inference, visit, shut)))
    return made


def _places(m: Measurement, visit: Visit) -> frozenset[str]:
    there = {visit.label(p) for p in places(m, visit.circuit)}
    return frozenset(there if m.function in FUNCTIONS else there | {m.red})


def _farthest(m: Measurement, visit: Visit) -> str:
    """The place of a measurement that is the hardest to get at."""
    if m.function not in FUNCTIONS:
        return m.red
    there = [p for p in (m.red, m.black) if p]
    return visit.label(max(there, key=lambda p: visit.way([p])))


def _outcomes(advice: Advice, inference: Inference) -> list[Outcome]:
    """What a measurement may come out as; readings from edge to edge, in SI units."""
    boat, rows, m = inference.boat, advice.rows, advice.measurement
    belief = inference.shares[rows] / inference.shares[rows].sum()
    if advice.chances is not None:
        return words(advice.chances, belief, outcomes(m, boat.circuit))
    assert advice.forecast is not None
    names = np.unique(boat.known.name_of[rows], return_inverse=True)[1].astype(np.intp)
    mean, sd = advice.forecast.mean[0], advice.forecast.sd[0]
    least = float(sd.min())
    cut = stretches((mean - sd) / least, (mean + sd) / least, belief, names)
    joined = _joined(cut, belief, names, OVER_RANGE / 2 / least)
    return [_read(o, joined, n, least, m.function) for n, o in enumerate(joined)]


def _read(o: Outcome, every: Sequence[Outcome], n: int, least: float, function: str) -> Outcome:
    """One stretch in SI units, its edges halfway to its neighbours, open at the ends."""
    if o.low * least > OVER_RANGE / 2:
        word = "OL" if o.low * least < 1.5 * OVER_RANGE else "unsteady"
        return replace(o, low=np.nan, high=np.nan, word=word)
    above = [x for x in every[n + 1 : n + 2] if x.low * least < OVER_RANGE / 2]
    below = every[max(n - 1, 0) : n]
    low = [off_scale(function, (x.high + o.low) / 2 * least) for x in below]
    high = [off_scale(function, (o.high + x.low) / 2 * least) for x in above]
    return replace(o, low=(low or [-np.inf])[0], high=(high or [np.inf])[0])


def _after(advice: Advice, outcome: Outcome, inference: Inference) -> Inference:
    """What is believed once a measurement came out so: each row by how much of it does."""
    m = advice.measurement
    chance = np.full(len(inference.shares), NEVER)
    chance[advice.rows] = np.maximum(outcome.share, NEVER)
    after = copy.copy(inference)
    item = Word(m.saw(outcome.word), np.log(chance), math.log(max(outcome.chance, NEVER)))
    after.items = [*inference.items, item]
    after.see()
    return after


def _way(advice: Advice, outcome: Outcome, to: int) -> Way:
    return Way(float(outcome.low), float(outcome.high), outcome.word, outcome.chance, to)


def _joined(cut: list[Outcome], belief: Array, names: Numbers, over: float) -> list[Outcome]:
    """Neighbouring outcomes put together, the cheapest first, until few enough are left.

    What is lost is the information that tells two of them apart; a number and what is none
    (beyond `over`) stay apart.
    """
    made = list(cut)
    count = int(names.max()) + 1

    def mass(o: Outcome) -> Array:
        return np.asarray(np.bincount(names, o.share * belief, count), float)

    def spread(by_name: Array) -> float:
        return float(xlogx(np.array(by_name.sum())) - xlogx(by_name).sum())

    def cost(n: int) -> float:
        a, b = made[n], made[n + 1]
        if (a.low > over) != (b.low > over):
            return np.inf
        lost = spread(mass(a) + mass(b)) - spread(mass(a)) - spread(mass(b))
        return lost - (1.0 if min(a.chance, b.chance) < RARE else 0.0)

    while len(made) > 1:
        costs = [cost(n) for n in range(len(made) - 1)]
        n = int(np.argmin(costs))
        if costs[n] == np.inf or (costs[n] >= 0 and len(made) <= MOST_WAYS):
            break
        a, b = made[n], made[n + 1]
        made[n : n + 2] = [Outcome(a.low, b.high, "", a.chance + b.chance, a.share + b.share)]
    return made
