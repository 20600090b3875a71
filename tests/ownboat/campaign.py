"""Secret faults on ten boats that are not as drawn: `python -m tests.ownboat.campaign [KIND ...]`.

Kinds: plain, mild, hidden, second, slip, exact, drawing. Every hunt is followed to its end by the
advice; no clamp, no test lamp. 'drawing' is the reasoning of the exercises, which takes the drawing
for the boat; 'exact' is a boat that is its drawing, with a perfect meter. What is dealt shows: to
the eye with everything on, or as a battery that goes flat; but for mild faults, which need not.

`--hunts N` deals N faults a boat (20), `--seed N` deals others. `--keep FILE` adds each hunt to a
file and leaves out those that stand there: a campaign that was broken off goes on. The table is
written to FOLDER/campaign.md and the calibration chart to FOLDER/campaign.svg with
`--into FOLDER`. Figures are printed; nothing fails.
"""

import argparse
import functools
import math
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from labkit.circuits.circuit import Circuit, Pass, Run
from labkit.diagnosis import Adviser as ExactAdviser
from labkit.diagnosis import Ambiguity, Diagnosis
from labkit.diagnosis.ambiguity import settled
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.elimination import place_of
from labkit.diagnosis.faults import in_use, ohms_in_use
from labkit.diagnosis.positions import all_off
from labkit.measuring.senses import sensed
from labkit.ownboat.advice import Adviser
from labkit.ownboat.boat import Boat
from labkit.ownboat.complaints import DRAIN, Complaint
from labkit.parts import Joint
from labkit.solving.solver import solve
from tests.boats import shipped
from tests.ownboat.boats import NAMES, described
from tests.ownboat.hunting import MOST, first_looks, hunt, shown
from tests.ownboat.tally import HEAD, Came, Kept, chart, line, table
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


@dataclass(frozen=True)
class Dealt:
    """A secret: the boat as it is, what is right to say of it, and what its owner says."""

    key: str
    number: int
    boat: str
    there: Circuit
    names: frozenset[str]
    parts: frozenset[str]
    complaint: Complaint | None = None
    slip: int = 0

    @property
    def wrong(self) -> str:
        """What is wrong, in words."""
        hidden = self.there.parts.get("X99")
        drawn = ", ".join(map(str, self.there.faults))
        if hidden is None:
            return drawn
        return f"hidden joint of {hidden.resistance} ohm between {' and '.join(sorted(self.parts))}"


def truths(kind: str, count: int, seed: int) -> Iterator[Dealt]:
    """Secrets of one kind, `count` for each boat; the same seed deals the same."""
    for name, number in BOATS:
        drawn, boat, _ = prepared(name)
        there = drawn if kind == "exact" else real(drawn, 1000 * number + seed)
        for n in range(count):
            key = f"{kind} {name} {number} {n} {seed}"
            yield dealt(kind, key, n, there, boat, name)


def dealt(kind: str, key: str, n: int, there: Circuit, boat: Boat, name: str) -> Dealt:
    """One secret that shows."""
    chance = random.Random(key)
    if kind == "hidden":
        while True:
            made, beside = with_hidden_joint(there, chance)
            if shows(there, made):
                return Dealt(key, n, name, made, frozenset(), frozenset(beside))
    listed = suspects(boat, kind == "mild")
    while True:
        found = [deal(listed, chance)]
        if kind == "second":
            first = {f.part for f in found[0].faults}
            found.append(deal([c for c in listed if c.faults[0].part not in first], chance))
        made = there.with_fault(*(str(f) for c in found for f in c.faults))
        drains = Complaint("drains") if drained(made) > drained(there) + DRAIN else None
        if drains or kind == "mild" or shows(there, made):
            names = frozenset(c.name for c in found)
            slip = chance.randint(2, 4) if kind == "slip" else 0
            return Dealt(key, n, name, made, names, frozenset(map(place_of, names)), drains, slip)


def shows(sound: Circuit, faulty: Circuit) -> bool:
    """Whether eye or ear tells the two apart with everything on."""
    states = [{**c.positions, **in_use(sound)[0]} for c in (sound, faulty)]
    one, other = (c.with_position(**p) for c, p in zip((sound, faulty), states, strict=True))
    return sensed(one, solve(one)) != sensed(other, solve(other))


def drained(circuit: Circuit) -> float:
    """What the battery gives with everything off. [A]"""
    off = solve(circuit.with_position(**all_off(circuit)))
    return max(abs(off.amps[p.id] or 0.0) for p in circuit.parts.values() if p.kind == "battery")


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


def one(kind: str, item: Dealt) -> Came:
    """One hunt, from the first looks to the name."""
    _, boat, adviser = prepared(item.boat)
    exact = kind == "exact"
    owner = Perfect(item.there, item.number) if exact else Owner(item.there, item.number, item.slip)
    if kind == "drawing":
        group, belief, readings = by_drawing(item.boat, owner)
        fits, steps, seen = True, [], []
    else:
        made = hunt(boat, adviser, owner, item.complaint)
        group, fits, readings = list(made.found.group), made.found.fits, made.readings
        belief, seen = shown(made.found), list(map(str, made.evidence))
        steps = [(b, bool(item.names & set(g))) for b, g in made.steps]
    right = bool(item.names & set(group))
    part = bool(item.parts & set(map(place_of, group)))
    wrong = not (part if kind == "hidden" else right) and belief >= SURE
    return Came(kind, item.key, item.boat, item.wrong, group, belief, fits, readings, right, part,
                wrong, steps, seen)  # fmt: skip  # rows that a reader compares


def campaign(kind: str, count: int, seed: int, kept: Kept, say=print) -> None:
    for item in truths(kind, count, seed):
        if item.key not in kept:
            came = one(kind, item)
            kept.add(came)
            if came.sure_wrong or not (came.right or came.part):
                say(str(came))
            some = kept.of(kind)
            if len(some) % 10 == 0:
                say(HEAD, line(kind, some), sep="\n")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kinds", nargs="*", default=list(KINDS))
    parser.add_argument("--hunts", type=int, default=20, help="a boat")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, help="file that hunts are added to")
    parser.add_argument("--into", type=Path, help="folder for the table and the chart")
    asked = parser.parse_args()
    kept = Kept(asked.keep)
    for kind in asked.kinds:
        campaign(kind, asked.hunts, asked.seed, kept, functools.partial(print, flush=True))
    print(table(kept))
    if asked.into:
        asked.into.mkdir(parents=True, exist_ok=True)
        (asked.into / "campaign.md").write_text(table(kept), encoding="utf-8")
        (asked.into / "campaign.svg").write_bytes(chart(kept.steps()))


if __name__ == "__main__":
    sys.exit(main())
