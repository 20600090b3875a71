"""A class study: the lots, the grade book read, the analysis, and simulated classes to try it on.

    python class_study.py lots codes.txt SEED > plan.csv

Written before the first learner. Costs in minutes; gains in natural logarithms of them.
"""

from __future__ import annotations

import csv
import random
import sys
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent

LEAST_MINUTES, LEAST_HUNTS = 2.0, 4
"""A hunt left sooner was not tried; who has fewer in a week is not compared. Settled before."""

DRAWS = 9_999
"""So often the lots are drawn anew. Our choice."""


# -- the lots -------------------------------------------------------------------------------------


def lots(codes: Sequence[str], seed: int) -> list[dict[str, str]]:
    """Half of the learners first, half waiting; of each, half with form A before and B after.

    Parameters
    ----------
    codes : sequence of str
        Never names.
    seed : int
        Noted before it is used.
    """
    if len(set(codes)) < len(codes):
        raise ValueError("a code stands there twice; give each learner one of their own")
    order = sorted(codes)
    random.Random(seed).shuffle(order)
    cells = [(group, forms) for forms in ("AB", "BA") for group in ("first", "waiting")]
    rows = [
        {"learner": code, "group": cells[n % 4][0], "order": cells[n % 4][1]}
        for n, code in enumerate(order)
    ]
    return sorted(rows, key=lambda row: row["learner"])


# -- what was done --------------------------------------------------------------------------------


@dataclass(frozen=True)
class Hunted:
    """One hunt of one learner.

    Attributes
    ----------
    learner, group, order : str
        As the lots have them.
    after : bool
        In the second of the two weeks.
    hunt : str
    cost : float
        [min]
    clean, proven, known : float
        1 or 0.
    hazards : int
    """

    learner: str
    group: str
    order: str
    after: bool
    hunt: str
    cost: float
    clean: float
    proven: float
    known: float
    hazards: int


def read(book: str | Path, plan: str | Path, forms: str | Path = HERE / "hunts.csv"):
    """Read a grade book of `labkit marks --csv`, and say what was left out and why.

    Returns
    -------
    list of Hunted, list of str
    """
    who = {row["learner"]: row for row in _rows(plan)}
    form = {row["title"]: row["form"] for row in _rows(forms)}
    found, left_out = [], []
    for row in _rows(book):
        learner, title = row["learner"], row["exercise"]
        if title not in form or row["handed in"] == "nothing":
            continue
        if learner not in who:
            left_out.append(f"{learner}: {title}: no such learner in the plan")
        elif row["checked"] != "yes":
            left_out.append(f"{learner}: {title}: does not play again as its file says")
        elif float(row["minutes"]) < LEAST_MINUTES:
            left_out.append(f"{learner}: {title}: left within {LEAST_MINUTES:g} minutes")
        else:
            lot, proven = who[learner], row["proven"] == "yes"
            hazards, wrong = int(row["hazards"]), int(row["wrong names"])
            found.append(Hunted(
                learner, lot["group"], lot["order"], form[title] == lot["order"][1], title,
                float(row["cost"]), float(proven and not hazards and not wrong), float(proven),
                float(row["known or lucky"] == "known"), hazards,
            ))  # fmt: skip  # rows that a reader compares
    return found, left_out


def _rows(file: str | Path) -> list[dict[str, str]]:
    with open(file, encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


# -- the analysis ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Gains:
    """What each learner gained: mean after less mean before, each hunt's own mean taken off.

    Attributes
    ----------
    value : array
        One for each learner.
    first : array of bool
        Whether the learner took the course between.
    order : array of str
    without : dict of str to int
        How many learners of each group had too few hunts.
    """

    value: np.ndarray
    first: np.ndarray
    order: np.ndarray
    without: Mapping[str, int]


def gains(hunted: Iterable[Hunted], what: str = "cost") -> Gains:
    """Work out what each learner gained in one measure; of cost, in its logarithm."""
    hunted = list(hunted)
    value = {(one.learner, one.after, one.hunt): float(getattr(one, what)) for one in hunted}
    if what == "cost":
        value = {key: float(np.log(cost)) for key, cost in value.items()}
    by_hunt = defaultdict(list)
    for (_, _, hunt), one in value.items():
        by_hunt[hunt].append(one)
    mean = {hunt: sum(some) / len(some) for hunt, some in by_hunt.items()}
    own = defaultdict(lambda: ([], []))
    for (learner, after, hunt), one in value.items():
        own[learner][after].append(one - mean[hunt])
    lot = {one.learner: one for one in hunted}
    enough = [who for who in sorted(own) if min(map(len, own[who])) >= LEAST_HUNTS]
    few = [lot[who].group for who in own if who not in enough]
    return Gains(
        np.array([np.mean(own[who][1]) - np.mean(own[who][0]) for who in enough]),
        np.array([lot[who].group == "first" for who in enough]),
        np.array([lot[who].order for who in enough]),
        {group: few.count(group) for group in ("first", "waiting")},
    )


@dataclass(frozen=True)
class Compared:
    """First against waiting.

    Attributes
    ----------
    difference : float
        Of the mean gains.
    low, high : float
        Interval of 95 %.
    p : float
        Two-sided.
    learners : int
    """

    difference: float
    low: float
    high: float
    p: float
    learners: int

    def share(self) -> str:
        """The difference of logarithms as a change of what was measured, in per cent."""
        d, low, high = (100 * np.expm1(x) for x in (self.difference, self.low, self.high))
        return f"{d:+.0f} % ({low:+.0f} to {high:+.0f} %)"


def weights(first: np.ndarray, order: np.ndarray, draws: int = DRAWS, seed: int = 1) -> np.ndarray:
    """Weights that make the difference of means, under the lots and under lots drawn anew.

    Returns
    -------
    array
        Draws by learners, the lots as they fell in the first row.
    """
    rng = np.random.default_rng(seed)
    drawn = np.empty((draws + 1, len(first)), bool)
    drawn[0] = first
    for one in np.unique(order):
        at = np.flatnonzero(order == one)
        drawn[1:, at] = rng.permuted(np.tile(first[at], (draws, 1)), axis=1)
    return drawn / drawn.sum(1, keepdims=True) - ~drawn / (~drawn).sum(1, keepdims=True)


def compare(found: Gains, draws: int = DRAWS) -> Compared:
    """Compare the two groups by a randomisation test, and turn it round for the interval."""
    w = weights(found.first, found.order, draws)
    value, given = found.value, found.first.astype(float)
    difference = float(w[0] @ value)
    plain, shift = w @ value, w @ given

    def p(by: float) -> float:
        """How often lots drawn anew differ as much, had the course given everybody so much."""
        drawn = np.abs(plain - by * shift)
        return float(np.mean(drawn >= drawn[0] - 1e-12))

    spread = 8 * float(np.std(value)) / len(value) ** 0.5 + 1e-9
    low, high = (_edge(p, difference, difference + side * spread) for side in (-1, 1))
    return Compared(difference, low, high, p(0.0), len(value))


def _edge(p, inside: float, outside: float) -> float:
    """Where p falls to 5 %, between a place inside the interval and one outside."""
    for _ in range(40):
        middle = (inside + outside) / 2
        inside, outside = (middle, outside) if p(middle) > 0.05 else (inside, middle)
    return (inside + outside) / 2


# -- simulated classes ----------------------------------------------------------------------------

LEARNERS, OWN_GAINS, HUNTS, REST = 0.35, 0.20, 0.30, 0.50
"""Standard deviations of log minutes: learners, what each gains, hunts, the rest. Assumed: nobody
has measured them yet."""

AGAIN = -0.10
"""What merely doing it a second time gives. Assumed."""


def classes(reps: int, n: int, k: int, effect: float, seed: int = 1):
    """Log costs of simulated classes of n learners, k hunts before and k after.

    Parameters
    ----------
    effect : float
        What the course adds to the logarithm of cost, such as log 0.6.

    Returns
    -------
    costs : array
        Classes by learners by hunts in the order met.
    plan : list of dict
        The lots.
    forms : array
        Learners by hunts: which of 2 k hunts was met.
    """
    rng = np.random.default_rng(seed)
    plan = lots([f"L{i:03}" for i in range(n)], seed)
    first = np.array([row["group"] == "first" for row in plan])
    flip = np.array([row["order"] == "BA" for row in plan])
    met = (np.arange(2 * k)[None, :] + k * flip[:, None]) % (2 * k)
    hunts = rng.normal(0, HUNTS, (reps, 2 * k))
    gain = AGAIN + effect * first + rng.normal(0, OWN_GAINS, (reps, n))
    after = np.arange(2 * k) >= k
    costs = (
        np.log(60.0) + rng.normal(0, LEARNERS, (reps, n, 1)) + hunts[:, met]
        + gain[:, :, None] * after + rng.normal(0, REST, (reps, n, 2 * k))
    )  # fmt: skip  # rows that a reader compares
    return costs, plan, met


def found_in(costs: np.ndarray, plan: list[dict[str, str]], met: np.ndarray, draws: int = 999):
    """In which share of classes the test finds a difference at 5 %."""
    k = costs.shape[2] // 2
    mean = np.zeros((costs.shape[0], 2 * k))
    for hunt in range(2 * k):
        mean[:, hunt] = costs[:, met == hunt].mean(1)
    rest = costs - mean[:, met]
    value = rest[:, :, k:].mean(2) - rest[:, :, :k].mean(2)
    first = np.array([row["group"] == "first" for row in plan])
    drawn = np.abs(value @ weights(first, np.array([r["order"] for r in plan]), draws).T)
    return float(np.mean(np.mean(drawn >= drawn[:, :1] - 1e-12, axis=1) <= 0.05))


def one_class_alone(costs: np.ndarray) -> float:
    """The wrong analysis: a class before and after, and whatever changed called teaching."""
    k = costs.shape[2] // 2
    value = costs[:, :, k:].mean(2) - costs[:, :, :k].mean(2)
    n = value.shape[1]
    t = value.mean(1) / (value.std(1, ddof=1) / n**0.5)
    return float(np.mean(np.abs(t) > _T95[n]))


_T95 = {12: 2.201, 20: 2.093, 40: 2.023}
"""Student's t, two-sided 5 %, by learners: of the tables, n - 1 degrees of freedom."""


def written_as_book(costs: np.ndarray, plan, met, forms: str | Path = HERE / "hunts.csv"):
    """One simulated class as a grade book and a plan, in the columns that `labkit marks` writes."""
    titles = [row["title"] for row in sorted(_rows(forms), key=lambda row: row["form"])]
    head = ("learner", "exercise", "handed in", "minutes", "cost", "wrong names", "hazards",
            "proven", "known or lucky", "checked")  # fmt: skip  # rows that a reader compares
    rng = np.random.default_rng(7)
    book = [head]
    for learner, hunts, own in zip(plan, met, costs, strict=True):
        for hunt, cost in zip(hunts, np.exp(own), strict=True):
            wrong, unproven = int(rng.poisson(cost / 120)), rng.random() < 0.1
            minutes = max(cost - 10 * wrong, cost / 2)
            book.append((
                learner["learner"], titles[hunt], "2027-01-15 10:00", f"{minutes:.1f}",
                f"{cost:.1f}", wrong, int(rng.poisson(0.2)), "no" if unproven else "yes",
                "known" if wrong == 0 else "lucky", "yes",
            ))  # fmt: skip  # rows that a reader compares
    return book


def main(words: list[str]) -> None:
    """Draw lots and print the plan."""
    if len(words) != 3 or words[0] != "lots" or not words[2].isdigit():
        sys.exit("write: python class_study.py lots codes.txt SEED, the seed a whole number")
    codes = [line.strip() for line in Path(words[1]).read_text("utf-8").splitlines()]
    out = csv.DictWriter(sys.stdout, ("learner", "group", "order"), lineterminator="\n")
    out.writeheader()
    out.writerows(lots([code for code in codes if code], int(words[2])))


if __name__ == "__main__":
    main(sys.argv[1:])
