"""Circuits nobody would wire, made from a seed: everything a file can say, in any mixture."""

from __future__ import annotations

import random
from itertools import pairwise

from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.parts import KINDS, Part, Trait
from labkit.parts.laws import Linear
from labkit.text.messages import CircuitError
from tests.kinds import passing, several_ways, with_traits

WORDS = (
    "anchor", "bilge", "bolted", "box", "cabin", "chain", "cockpit", "engine", "extraordinarily",
    "foredeck", "galley", "harness", "in-line", "locker", "mast", "negative", "of", "panel",
    "plug", "pump", "return", "saloon", "splice", "starboard", "stud", "switch", "the",
    "underneath", "waterproofed", "winch",
)  # fmt: skip  # rows that a reader compares
COLORS = ("red", "black", "brown/white", "dark blue", "green/yellow stripe")
KEYS = {  # ratings long enough to need two lines, and short ones
    "battery": {"emf": "12.7 V", "resistance": "8 mohm"},
    "supply": {"voltage": "14.2 V", "limit": "25 A"},
    "cable": {"size": "2/0 AWG", "length": "18 ft"},
    "breaker": {"rating": "120 A"},
    "resistor": {"resistance": "4.7 kohm"},
}
LOADS = with_traits(Trait.LOAD)
LINKS = (*passing(), *(kind for kind in with_traits(Trait.JUNCTION) if kind not in LOADS))
SEVERAL = several_ways()


class Maker:
    """Makes parts with ids of their own."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.count: dict[str, int] = {}
        self.again: list[Via] = []

    def label(self) -> str:
        words = " ".join(self.chance.choices(WORDS, k=self.chance.randint(0, 6)))
        return words[:60].strip()

    def part(self, kind: str) -> Part | Via:
        chance, letter = self.chance, KINDS[kind].letters[0]
        self.count[letter] = self.count.get(letter, 0) + chance.choice((1, 1, 1, 17))
        keys: dict[str, object] = {**KINDS[kind].example, **KEYS.get(kind, {})}
        keys["label"] = self.label()
        if chance.random() < 0.4:
            keys["wire"] = {"number": str(chance.randint(1, 240)), "color": chance.choice(COLORS)}
        if kind in LINKS and chance.random() < 0.08:
            keys["hidden"] = True
        if KINDS[kind].choices:
            keys["position"] = chance.choice(KINDS[kind].choices)
        made = KINDS[kind](f"{letter}{self.count[letter]}", **keys)
        if kind not in SEVERAL:
            return made
        first, *rest = ["-".join(way) for way in made.ways()]
        if Trait.LOAD in made.traits:  # its coil, and a contact or more
            ways = [first, *chance.sample(rest, chance.randint(1, len(rest)))]
        else:
            ways = [first, *rest]
            chance.shuffle(ways)
        self.again += [Via(made.id, way) for way in ways[1:]]
        return Via(made, ways[0])


def random_circuit(seed: int) -> Circuit:
    """Make a circuit; the same seed always makes the same."""
    chance = random.Random(seed)
    for _ in range(100):
        try:
            return _changed(_made(chance, seed), chance)
        except CircuitError:
            continue
    raise AssertionError(f"seed {seed} made no circuit")


def _made(chance: random.Random, seed: int) -> Circuit:
    maker = Maker(chance)
    names = ["stud", "panel", "engine block", "mast-foot minus", "bus"][: chance.randint(1, 5)]
    runs: list[tuple] = []  # type: ignore[type-arg]
    inside: list[str] = []

    def add(start: str, end: str, parts: list[Part | Via]) -> None:
        if not parts:
            parts = [maker.part("joint")]
        for item in parts:
            id = item.id if isinstance(item, Part) else item.part
            if isinstance(item, Part):
                inside.extend((f"{id}:{item.terminals[0]}", f"{id}:{item.terminals[1]}"))
        runs.append(run(start, end, *parts, name=f"run {len(runs) + 1}"))

    def links(most: int) -> list[Part | Via]:
        return [maker.part(chance.choice(LINKS)) for _ in range(chance.randint(0, most))]

    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        source = maker.part(chance.choice(("battery", *with_traits(Trait.SOURCE))))
        add("DC-", chance.choice(names[:2]), [*links(1), source, *links(3)])
    for one, two in pairwise(names):
        add(one, two, links(4))
    for _ in range(chance.randint(1, 5)):
        middle = [maker.part(chance.choice((*LOADS, *LOADS, *SEVERAL)))]
        end = chance.choice(("DC-", "DC-", "DC-", *names))
        add(chance.choice(names), end, [*links(5), *middle, *links(3)])
    for via in maker.again:
        add(chance.choice((*names, *inside)), chance.choice(("DC-", *names)), [via, *links(2)])
    for _ in range(chance.randint(0, 3)):
        places = ("DC-", *names, *inside)
        add(
            chance.choice(places),
            chance.choice(places),
            [*links(1), maker.part(chance.choice(LOADS))],
        )
    return build_circuit(f"Random boat {seed}", *runs)


def _changed(made: Circuit, chance: random.Random) -> Circuit:
    """Take connections apart and clip things on."""
    terminals = [t for point in made.test_points for t in point.terminals if ":" in t]
    for _ in range(chance.choice((0, 0, 0, 1, 2))):
        made = made.with_parted(chance.choice(terminals))
    for n in range(chance.choice((0, 0, 0, 1, 2))):
        kind = chance.choice(("jumper", "test lamp"))
        one, two = chance.sample([*terminals, "DC-"], 2)
        made = made.with_bridge(f"{kind} {n + 1}", kind, one, two, Linear.resistor(1.0))
    return made
