"""Secret faults on ten boats that are not as drawn: `python -m tests.ownboat.campaign [KIND ...]`.

Kinds: plain, mild, hidden, second, slip, exact, drawing. Every hunt is followed to its end by the
advice; no clamp, no test lamp. 'drawing' is the reasoning of the exercises, which takes the drawing
for the boat; 'exact' is a boat that is its drawing, with a perfect meter. `--hunts N` deals N
faults a boat (20), `--seed N` deals others. Figures are printed; nothing fails.
"""

import argparse
import functools
import math
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from labkit.circuits.circuit import Circuit, Pass, Run
from labkit.diagnosis import Adviser as ExactAdviser
from labkit.diagnosis import Ambiguity, Diagnosis
from labkit.diagnosis.ambiguity import settled
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.faults import ohms_in_use
from labkit.ownboat.advice import Adviser
from labkit.ownboat.boat import Boat
from labkit.parts import Joint
from tests.boats import shipped
from tests.ownboat.boats import NAMES, described
from tests.ownboat.hunting import MOST, first_looks, hunt
from tests.ownboat.truth import Owner, deal, real

WITHOUT = ("clamp", "test lamp")
BOATS = [(name, seed) for seed in (1, 2) for name in NAMES] + [("washdown", 1), ("bilge-pump", 1)]
SURE = 0.95
KINDS = ("plain", "mild", "hidden", "second", "slip", "exact", "drawing")


@functools.cache
def prepared(name: str) -> tuple[Circuit, Boat, Adviser]:
    drawn = described(name) if name in NAMES else shipped(name)
    boat = Boat(drawn, WITHOUT)
    return drawn, boat, Adviser(boat)


@dataclass
class Tally:
    """What came of some hunts."""

    hunts: int = 0
    right: int = 0
    part: int = 0
    sure_wrong: int = 0
    sure_wrong_fitting: int = 0
    unfit: int = 0
    noticed: int = 0
    readings: int = 0
    steps: list[tuple[float, bool]] = field(default_factory=list)

    def line(self, kind: str) -> str:
        n = max(self.hunts, 1)
        return (
            f"{kind:8} {self.hunts:5} {self.right:6} {self.part:6} {self.sure_wrong:6} "
            f"{self.sure_wrong_fitting:8} {self.unfit:6} {self.noticed:8} {self.readings / n:8.1f}"
        )


HEAD = "kind     hunts  right   part  sure+wrong  fitting  unfit  noticed  readings"


def suspects(boat: Boat, mild: bool):
    """Faults that may be dealt: not what comes and goes, and no wrong fuse."""
    found = {str(row.candidate): row.candidate for row in boat.known.rows}.values()
    kept = [c for c in found if c.faults[0].mode not in ("intermittent", "wrong fuse")]
    if mild:
        kept = [c for c in kept if c.faults[0].mode == "resistance"]
        most = {}
        for c in kept:
            most.setdefault(c.name, []).append(c)
        kept = [c for of in most.values() for c in sorted(of, key=lambda c: c.faults[0].value)[:2]]
    return kept


def with_hidden_joint(boat: Circuit, chance: random.Random) -> tuple[Circuit, set[str]]:
    """The boat with a bad joint between two parts of a run that the drawing does not show.

    It costs between a twentieth and a half of the voltage in use, so that somebody complains.
    """
    runs = [r for r in boat.runs if len(r.passes) > 2]
    run = chance.choice(runs)
    place = chance.randrange(1, len(run.passes))
    carried = min(ohms_in_use(boat, boat.parts[p.part]) or 10.0 for p in run.passes)
    ohms = carried * math.exp(chance.uniform(math.log(0.05), math.log(0.5)))
    joint = Joint("X99", resistance=f"{ohms:.3f} ohm", hidden=True)
    passes = (*run.passes[:place], Pass("X99", "1", "2"), *run.passes[place:])
    made = Run(run.name, run.start, run.end, passes)
    beside = {run.passes[place - 1].part, run.passes[place].part}
    parts = MappingProxyType({**boat.parts, "X99": joint})
    runs = tuple(made if r is run else r for r in boat.runs)
    return replace(boat, runs=runs, parts=parts), beside


def truths(
    kind: str, count: int, seed: int
) -> Iterator[tuple[str, Circuit, Circuit, set, set, int]]:
    """Boat, the real thing, names and parts that are right, and the reading that slips."""
    for name, number in BOATS:
        drawn, boat, _ = prepared(name)
        listed = suspects(boat, kind == "mild")
        for n in range(count):
            chance = random.Random(f"{name} {number} {n} {seed} {kind}")
            there = drawn if kind == "exact" else real(drawn, 1000 * number + seed)
            if kind == "hidden":
                there, beside = with_hidden_joint(there, chance)
                yield name, drawn, there, set(), beside, 0
                continue
            dealt = deal(listed, chance)
            names, faults = {dealt.name}, list(map(str, dealt.faults))
            parts = {f.part for f in dealt.faults}
            if kind == "second":
                more = deal([c for c in listed if c.faults[0].part not in parts], chance)
                names, faults = names | {more.name}, faults + list(map(str, more.faults))
                parts |= {f.part for f in more.faults}
            slip = chance.randint(2, 4) if kind == "slip" else 0
            yield name, drawn, there.with_fault(*faults), names, parts, slip


class Perfect(Owner):
    """A meter without an error of its own."""

    def __call__(self, m):
        return m.saw(self.observe(m))


def by_drawing(name: str, owner) -> tuple[list[str], float, int]:
    """The reasoning that takes the drawing for the boat, followed to its end."""
    drawn, boat, _ = prepared(name)
    adviser = exact_adviser(name)
    diagnosis, visit = adviser.start.copy(), Visit(drawn)
    for m in first_looks(boat):
        diagnosis.see(owner(m))
    readings = 0
    while readings < MOST and not settled(adviser, diagnosis):
        best = adviser.rank(diagnosis, visit, 1, explained=False)
        if not best:
            break
        seen = owner(best[0].measurement)
        visit.go(seen)
        diagnosis.see(seen)
        readings += 1
    first, belief = next(iter(diagnosis.by_name.items()))
    alike = Ambiguity(adviser, diagnosis, [first]).lookalikes(diagnosis.likeliest(first))
    return [first, *alike], belief, readings


@functools.cache
def exact_adviser(name: str) -> ExactAdviser:
    return ExactAdviser(Diagnosis(prepared(name)[0]), WITHOUT)


def campaign(kind: str, count: int, seed: int, say=print) -> Tally:
    tally = Tally()
    for n, (name, _, there, names, parts, slip) in enumerate(truths(kind, count, seed)):
        _, boat, adviser = prepared(name)
        exact = kind == "exact"
        owner = Perfect(there, n) if exact else Owner(there, n, slip)
        tally.hunts += 1
        if kind == "drawing":
            group, belief, readings = by_drawing(name, owner)
            fits, steps, known = True, [], [id.partition(" ")[0].partition(":")[0] for id in group]
        else:
            made = hunt(boat, adviser, owner)
            group, fits, readings = list(made.found.group), made.found.fits, made.readings
            belief = made.found.remains[0].belief if made.found.remains else 0.0
            held = {left.name: left.belief for left in made.found.remains}
            belief = sum(held.get(g, 0.0) for g in group)
            steps = [(b, bool(names & {first, *g})) for first, b, g in made.steps]
            known = [id.partition(" ")[0].partition(":")[0] for id in group]
        right = bool(names & set(group))
        near = bool(parts & set(known))
        wrong = not (near if kind == "hidden" else right) and belief >= SURE
        tally.right += right
        tally.part += near
        tally.sure_wrong += wrong
        tally.sure_wrong_fitting += wrong and fits
        tally.unfit += not fits
        tally.noticed += near or not fits
        tally.readings += readings
        tally.steps += steps
        if tally.hunts % 10 == 0:
            say(tally.line(kind))
        if wrong or not (right or near):
            faults = ", ".join(map(str, there.faults)) or str(there.parts.get("X99", ""))[:60]
            say(f"  {name}: {faults}: said {group} {belief:.2f}, fits {fits}, {readings} readings")
    return tally


def calibration(steps: list[tuple[float, bool]]) -> list[str]:
    """Said against was, as a chart of letters, and the expected calibration error."""
    lines, error = ["said   was    steps"], 0.0
    for low in [n / 10 for n in range(10)]:
        bin_ = [(b, ok) for b, ok in steps if low <= b < low + 0.1 or (low == 0.9 and b >= 1.0)]
        if bin_:
            said = sum(b for b, _ in bin_) / len(bin_)
            was = sum(ok for _, ok in bin_) / len(bin_)
            error += abs(said - was) * len(bin_) / len(steps)
            bar = "".join("o" if round(30 * was) == n else "|" if round(30 * said) == n else "."
                          for n in range(31))  # fmt: skip
            lines.append(f"{said:.2f}   {was:.2f}  {len(bin_):5}  {bar}")
    return [*lines, f"expected calibration error {error:.3f}  (| said, o was)"]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kinds", nargs="*", default=list(KINDS))
    parser.add_argument("--hunts", type=int, default=20, help="a boat")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    lines, steps = [], []
    for kind in asked.kinds:
        tally = campaign(kind, asked.hunts, asked.seed, lambda text: print(text, flush=True))
        lines.append(tally.line(kind))
        steps += tally.steps if kind == "plain" else []
        print(HEAD, *lines, sep="\n", flush=True)
    if steps:
        print(*calibration(steps), sep="\n")


if __name__ == "__main__":
    sys.exit(main())
