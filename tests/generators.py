"""Random circuits: valid, of every kind of part, with faults, partings, positions and bridges.

`random_circuit(random.Random(seed))` for campaigns; `circuits()` for hypothesis, which names the
seed of a circuit that fails (driving every choice itself takes it a hundred times as long).
"""

from __future__ import annotations

from random import Random

from hypothesis import strategies as st

from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.parts import (
    KINDS,
    UNIVERSAL,
    Alternator,
    Ammeter,
    Battery,
    Breaker,
    Cable,
    Changeover,
    Charger,
    Combiner,
    Connector,
    Converter,
    Diode,
    Electronics,
    Float,
    Fuse,
    Heater,
    Indicator,
    Isolator,
    Joint,
    Lampholder,
    MotorLoad,
    Panel,
    Part,
    Relay,
    Resistor,
    SolarController,
    Supply,
    Switch,
    Trait,
    Voltmeter,
)
from labkit.parts.filament import Lamp
from labkit.parts.laws import Linear
from labkit.text.messages import CircuitError
from tests.kinds import example_of, passing, several_ways, with_traits

PATH = ("cable", *passing())
LOADS = with_traits(Trait.LOAD)
SOURCES = ("battery", *with_traits(Trait.SOURCE))
ELSEWHERE = (*several_ways(), "diode", *with_traits(Trait.GALVANIC))


seeds = st.integers(0, 2**32 - 1)


def circuits(most: int = 40, without: tuple[str, ...] = ()) -> st.SearchStrategy[Circuit]:
    """Strategy for circuits of 2 to `most` parts, none of the kinds `without`."""
    return seeds.map(lambda seed: random_circuit(Random(seed), most, without))


def random_circuit(rng: Random, most: int = 40, without: tuple[str, ...] = ()) -> Circuit:
    """Make a circuit of 2 to `most` parts in some state or other."""
    return disturb(rng, sound_circuit(rng, most, without))


def sound_circuit(rng: Random, most: int = 40, without: tuple[str, ...] = ()) -> Circuit:
    """Make a circuit as a file would describe it: no faults, nothing taken apart."""
    while True:
        try:
            made = _Maker(rng, rng.randint(2, most), without).circuit()
        except CircuitError as error:  # its one source without resistance, shorted by what it met
            if "no resistance" not in str(error):
                raise
            continue
        if len(made.parts) <= most:
            return made


def disturb(rng: Random, circuit: Circuit) -> Circuit:
    """Move switches, add up to three faults, take up to two connections apart, put bridges in."""
    for id in circuit.positions:
        part = circuit.parts[id]
        words = part.choices or tuple(part.positions)  # type: ignore[attr-defined]
        circuit = circuit.with_position(
            **{id: rng.choice(words if rng.random() < 0.4 else words[:1])}
        )
    for _ in range(rng.choice((0, 1, 1, 2, 3))):
        circuit = with_random_fault(rng, circuit)
    terminals = [member for member in circuit.node_of if ":" in member]
    for _ in range(rng.choice((0, 0, 0, 1, 2))):
        circuit = circuit.with_parted(rng.choice(terminals))
    places = list(circuit.node_of)
    laws = (Linear.resistor(10e6), Linear.resistor(3e3), Linear.resistor(0.02),
            Lamp(voltage=circuit.system, current=0.4))  # fmt: skip  # rows that a reader compares
    for number in range(rng.choice((0, 0, 1, 2))):
        red, black = rng.choice(places), rng.choice(places)
        circuit = circuit.with_bridge(f"bridge{number}", "meter", red, black, rng.choice(laws))
    shaken = [id for id in circuit.parts if rng.random() < 0.2]
    return circuit.with_disturbed(*shaken)


def with_random_fault(rng: Random, circuit: Circuit) -> Circuit:
    """Add a fault of some part, one of its own modes or of those any part can be given."""
    part = circuit.parts[rng.choice(list(circuit.parts))]
    modes = {**UNIVERSAL, **part.modes}
    mode = rng.choice(list(modes))
    terminal = f":{rng.choice(part.terminals)}" if mode == "leak" else ""
    amounts = modes[mode].amounts
    amount = rng.choice(amounts) if amounts else "20 A" if modes[mode].amount else ""
    try:
        return circuit.with_fault(f"{part.id}{terminal} {mode} {amount}".strip())
    except CircuitError:  # a wire that is thin already
        return circuit


def _id(via: Via) -> str:
    return via.part if isinstance(via.part, str) else via.part.id


class _Maker:
    def __init__(self, rng: Random, size: int, without: tuple[str, ...]) -> None:
        self.rng, self.left, self.without = rng, size, without
        self.counts: dict[str, int] = {}
        self.system = rng.choice(("12 V", "12 V", "24 V"))
        self.volts = float(self.system[:-2])
        self.ideal = rng.random() < 0.05  # one source without resistance
        self.waiting: list[Via] = []  # further ways of parts met once

    def circuit(self) -> Circuit:
        rng = self.rng
        nodes = ["DC-", *(f"node {n}" for n in range(1, 2 + rng.randint(0, self.left // 7)))]
        runs = [("DC-", nodes[1], self._stretch(1, source=True))]
        degree = dict.fromkeys(nodes, 0)
        degree["DC-"] = degree[nodes[1]] = 1
        while self.left > 0 or min(degree.values()) < 2:
            short = [node for node in nodes if degree[node] < 2]
            start = rng.choice(short if short and self.left <= len(short) + 1 else nodes)
            end = rng.choice([node for node in nodes if node != start])
            if rng.random() < 0.5 and start != "DC-":
                end = "DC-"
            source = rng.random() < 0.08 and not self._lacks(SOURCES)
            runs.append((start, end, self._stretch(rng.randint(1, 6), source, start != "DC-")))
            degree[start] += 1
            degree[end] += 1
        shared: set[str] = set()  # the common terminals met, where further ways branch off
        for via in [i for _, _, items in runs for i in items if isinstance(i, Via)] + self.waiting:
            common = f"{_id(via)}:{via.way.split('-')[0]}"
            if via in self.waiting:
                start, end = rng.sample(nodes, 2)
                start = common if common in shared else start
                runs.append((start, end, [via, self._part("cable")]))
            shared.add(common)
        rng.shuffle(runs)
        runs = self._described_first(runs)
        return build_circuit(
            "invented at random", *(run(a, b, *parts) for a, b, parts in runs), system=self.system
        )

    @staticmethod
    def _described_first(
        runs: list[tuple[str, str, list[Part | Via]]],
    ) -> list[tuple[str, str, list[Part | Via]]]:
        """Put the description of a part of several ways where it is met first."""
        parts = {
            item.part.id: item.part
            for _, _, items in runs
            for item in items
            if isinstance(item, Via) and isinstance(item.part, Part)
        }
        met: set[str] = set()
        ordered = []
        for start, end, items in runs:
            made: list[Part | Via] = []
            for item in items:
                if isinstance(item, Via):
                    id = _id(item)
                    item = Via(id if id in met else parts[id], item.way)
                    met.add(id)
                made.append(item)
            ordered.append((start, end, made))
        return ordered

    def _lacks(self, kinds: tuple[str, ...]) -> bool:
        return all(kind in self.without for kind in kinds)

    def _stretch(self, length: int, source: bool = False, load: bool = False) -> list[Part | Via]:
        kinds = [self._pick(PATH) for _ in range(length - 1)]
        if source:
            kinds.append(self._pick(SOURCES))
        elif load or self.rng.random() < 0.3:
            kinds.append(self._pick(LOADS))
        else:
            kinds.append(self._pick(PATH))
        if self.rng.random() < 0.15 and not self._lacks(ELSEWHERE):
            kinds.append(self._pick(ELSEWHERE))
        self.rng.shuffle(kinds)
        made: list[Part | Via] = []
        for kind in kinds:
            part = self._part(kind)
            if len(part.ways()) == 1:
                made.append(part)
                continue
            ways = [f"{a}-{b}" for a, b in part.ways()]
            self.rng.shuffle(ways)
            made.append(Via(part, ways[0]))
            more = [way for way in ways[1:] if self.rng.random() < 0.8]
            self.waiting += [Via(part.id, way) for way in more]
        return made

    def _pick(self, kinds: tuple[str, ...]) -> str:
        return self.rng.choice([kind for kind in kinds if kind not in self.without] or ["joint"])

    def _between(self, low: float, high: float, unit: str) -> str:
        """A quantity spread evenly on a log scale."""
        return f"{low * (high / low) ** self.rng.random():.4g} {unit}"

    def _part(self, kind: str) -> Part:
        rng, volts = self.rng, self.volts
        self.left -= 1
        letter = KINDS[kind].letters[0]
        self.counts[letter] = self.counts.get(letter, 0) + 1
        id = f"{letter}{self.counts[letter]}"
        rated = {"voltage": self.system, "current": self._between(0.05, 20, "A")}
        match kind:
            case "battery":
                ohms = "0 ohm" if self.ideal else self._between(1e-3, 0.5, "ohm")
                self.ideal = False
                if rng.random() < 0.3:
                    return Battery(
                        id,
                        charge=f"{rng.uniform(0, 100):.4g} %",
                        capacity=f"{rng.choice((20, 70, 200))} Ah",
                        chemistry=rng.choice(("flooded", "agm", "lifepo4")),
                        health=f"{rng.choice((100, 60))} %",
                        temperature=f"{rng.choice((-18, 25, 40))} C",
                    )
                return Battery(id, emf=f"{volts * rng.uniform(0.7, 1.1):.4g} V", resistance=ohms)
            case "supply":
                limit = self._between(1, 60, "A") if rng.random() < 0.6 else None
                keys = {"limit": limit} if limit else {}
                return Supply(id, voltage=f"{volts * rng.uniform(1.0, 1.2):.4g} V", **keys)
            case "cable":
                size = rng.choice(("18 AWG", "14 AWG", "10 AWG", "2/0 AWG", "2.5 mm2"))
                return Cable(id, size=size, length=self._between(0.1, 20, "m"))
            case "fuse" | "breaker":
                rating = rng.choice(("3 A", "10 A", "30 A", "100 A"))
                return (Fuse if kind == "fuse" else Breaker)(id, rating=rating)
            case "switch" | "float":
                made = Switch if kind == "switch" else Float
                return made(id, position=rng.choice(("on", "on", "off")))
            case "changeover":
                positions = rng.choice(
                    (
                        {"one": "1-2", "off": "none", "two": "1-3"},
                        {"one": "1-2", "both": "1-2, 1-3", "two": "1-3"},
                    )
                )
                return Changeover(id, positions=positions, position=rng.choice(list(positions)))
            case "connector":
                return Connector(id)
            case "joint":
                return Joint(id, **({"resistance": self._between(1e-5, 10, "ohm")}
                                    if rng.random() < 0.3 else {}))  # fmt: skip  # in rows
            case "ammeter":
                return Ammeter(id)
            case "lamp":
                return Lampholder(id, **rated)
            case "heater":
                return Heater(id, power=self._between(5, 500, "W"))
            case "resistor":
                return Resistor(id, resistance=self._between(0.1, 1e6, "ohm"))
            case "motor":
                friction, dry = (f"{rng.choice((0, 1, 20, 60, 100))} %" for _ in range(2))
                return MotorLoad(id, **rated, friction=friction, dry=dry)
            case "electronics":
                low = volts * rng.uniform(0.3, 0.95)
                return Electronics(
                    id,
                    power=self._between(1, 150, "W"),
                    cut_out=f"{low:.4g} V",
                    restart=f"{low * rng.choice((1.0, 1.05, 1.2)) + 0.01:.4g} V",
                )
            case "diode":
                return Diode(id, **({"resistance": "20 mohm"} if rng.random() < 0.5 else {}))
            case "indicator":
                return Indicator(id, color=rng.choice(("red", "green", "white")))
            case "relay":
                return Relay(id, coil=self._between(1, 200, "ohm"))
            case "voltmeter":
                return Voltmeter(id, **({"resistance": "10 Mohm"} if rng.random() < 0.5 else {}))
            case "alternator":
                return Alternator(
                    id,
                    limit=self._between(20, 120, "A"),
                    position=rng.choice(("cruise", "idle", "stopped")),
                    sense=rng.choice(("machine", "battery")),
                    exciter=rng.choice(("own", "own", "lamp")),
                )
            case "charger":
                return Charger(
                    id,
                    limit=self._between(3, 60, "A"),
                    position=rng.choice(("on", "on", "off")),
                    stage=rng.choice(("absorption", "float")),
                )
            case "converter":
                return Converter(id, limit=self._between(5, 60, "A"))
            case "solar panel":
                sun = rng.choice(("full sun", "cloud", "dark"))
                return Panel(id, power=self._between(20, 400, "W"), position=sun)
            case "solar controller":
                return SolarController(id, limit=self._between(5, 30, "A"))
            case "combiner":
                low = volts * rng.uniform(1.02, 1.1)
                high = low * rng.choice((1.0, 1.03, 1.1))
                return Combiner(id, pull_in=f"{high:.4g} V", drop_out=f"{low:.4g} V")
            case "isolator":
                return Isolator(id, resistance=self._between(1e-4, 0.1, "ohm"))
            case _:
                return example_of(KINDS[kind], self.counts[letter])
