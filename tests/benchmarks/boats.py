"""Invented boats of any size, and states they may be in: the same for the same seed."""

from __future__ import annotations

from random import Random

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.parts import (
    Battery,
    Breaker,
    Cable,
    Diode,
    Electronics,
    Fuse,
    Indicator,
    Joint,
    Lampholder,
    MotorLoad,
    Part,
    Switch,
)

_CONSUMERS = 8  # on a sub-panel; each with one curved part and five nodes of its own


def boat(nodes: int, seed: int = 1) -> Circuit:
    """A boat of about so many nodes: sub-panels, each with eight switched and fused consumers.

    At 45 nodes it has 8 curved parts: 2 motors, 3 lamps, an LED, a diode and a radio.
    """
    rng = Random(seed)
    runs = [
        run("DC-", "stud", Battery("G1", emf="12.7 V", resistance="6 mohm")),
        run("stud", "panel", Fuse("F1000", rating=f"{100 * max(1, nodes // 45)} A"),
            Switch("S1000", position="on"), Cable("W1000", size="2 AWG", length="2 m")),
        run("negative bus", "DC-", Cable("W1001", size="2 AWG", length="2 m")),
    ]  # fmt: skip  # rows that a reader compares
    consumers = max(1, round((nodes - 5) / 5.125))
    for n in range(consumers):
        panel = f"panel {n // _CONSUMERS}" if consumers > _CONSUMERS else "panel"
        if n % _CONSUMERS == 0 and panel != "panel":
            feed = Cable(f"W{1100 + n}", size="8 AWG", length=f"{rng.uniform(1, 4):.2f} m")
            runs.append(run("panel", panel, feed))
        runs.append(
            run(
                panel, "negative bus",
                Breaker(f"F{n}", rating="15 A"),
                Switch(f"S{n}", position="on"),
                Cable(f"W{2 * n}", size="14 AWG", length=f"{rng.uniform(2, 9):.2f} m"),
                Joint(f"X{n}"),
                consumer(n, rng),
                Cable(f"W{2 * n + 1}", size="14 AWG", length=f"{rng.uniform(2, 9):.2f} m"),
            )
        )  # fmt: skip  # rows that a reader compares
    return build_circuit(f"invented boat of {nodes} nodes", *runs)


def consumer(n: int, rng: Random) -> Part:
    """The nth consumer of a panel, of a kind by its number."""
    amps = f"{rng.uniform(1, 6):.2f} A"
    kinds: tuple[Part, ...] = (
        MotorLoad(f"M{n}", current=amps),
        Lampholder(f"E{n}", current=amps),
        Electronics(f"A{n}", power="25 W"),
        Lampholder(f"E{n}", current=amps),
        Indicator(f"P{n}"),
        MotorLoad(f"M{n}", current=amps, resistance="0.4 ohm"),
        Lampholder(f"E{n}", power="10 W"),
        Diode(f"V{n}", resistance="20 ohm"),
    )
    return kinds[n % _CONSUMERS]


def states(circuit: Circuit, count: int, seed: int = 1, most_faults: int = 3) -> list[Circuit]:
    """Seeded states of a boat: some switches off, up to so many faults, each of any severity."""
    rng = Random(seed)
    switches = [id for id, part in circuit.parts.items() if part.kind == "switch"]
    settings = [
        circuit.with_position(**{id: "off" for id in switches if rng.random() < 0.25})
        for _ in range(12)
    ]
    faults = [
        f"{part.id} {mode} {amount}".strip()
        for part in circuit.parts.values()
        for mode, facts in part.modes.items()
        for amount in facts.amounts or ("",)
        if mode != "too thin"
    ]
    single = {text: circuit.with_fault(text).faults[0] for text in faults}
    found = []
    for _ in range(count):
        chosen = rng.sample(faults, rng.randint(0, most_faults))
        found.append(rng.choice(settings).with_fault(*(single[text] for text in chosen)))
    return found
