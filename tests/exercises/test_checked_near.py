"""A check says of a cut boat what it says of the whole one, word for word.

What it says of a sound boat and of how hard a hunt is comes from the whole boat in any case; what
no test tells apart is looked for near the complaint. The oracle is the same check with nothing cut.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

import pytest

from labkit.circuits.circuit import Circuit
from labkit.exercises import isolation
from labkit.exercises.checking import check_file
from labkit.exercises.exercise import load_exercise
from labkit.solving.near import NearCircuit, near_boat
from tests.boats import EXERCISES

CIRCUITS = 8  # and so 44 parts: from 40 on a boat is cut


def boat_file(folder: Path, faults: str, panels: int) -> Path:
    """A hunt on an invented boat of 40 parts and more, her circuits on so many panels."""
    (folder / "boat.toml").write_text(_boat(panels), encoding="utf-8")
    hunt = folder / "hunt.toml"
    hunt.write_text(
        f"""
title = "A dim lamp"
circuit = "boat.toml"
complaint = "The first lamp is dim or dark."
seen = ["The first lamp does not light as it should."]
positions = {{ S900 = "on", S1 = "on" }}
faults = [{faults}]
deal = "one of"
cause = "Invented."
par = "20 min"
cautions = ["Switch off before you take anything apart."]

[proof]
load = "E1"
positions = {{ S900 = "on", S1 = "on" }}
drop = "10 %"
""",
        encoding="utf-8",
    )
    return hunt


def _boat(panels: int) -> str:
    text = """
title = "invented boat"
system = "12 V"

[[run]]
name = "battery"
from = "DC-"
to = "stud"
parts = [{ id = "G1", is = "battery", emf = "12.7 V", resistance = "8 mohm" }]

[[run]]
name = "main feed"
from = "stud"
to = "panel"
parts = [
  { id = "F900", is = "fuse", rating = "100 A", kind = "mega" },
  { id = "S900", is = "switch", position = "on" },
  { id = "W900", is = "cable", size = "35 mm2", length = "2 m" },
]
"""
    for k in range(panels):
        text += _run(f"feeder {k}", "panel", f"panel {k}", [
            f'{{ id = "F{901 + k}", is = "fuse", rating = "60 A", kind = "midi" }}',
            f'{{ id = "W{901 + k}", is = "cable", size = "16 mm2", length = "3 m" }}',
        ])  # fmt: skip  # rows that a reader compares
    for n in range(1, CIRCUITS + 1):
        text += _run(f"circuit {n}", f"panel {n % panels}", "DC-", [
            f'{{ id = "F{n}", is = "fuse", rating = "10 A" }}',
            f'{{ id = "S{n}", is = "switch", position = "off" }}',
            f'{{ id = "W{n}", is = "cable", size = "2.5 mm2", length = "{3 + n} m" }}',
            f'{{ id = "E{n}", is = "lamp", power = "{5 + 5 * (n % 4)} W" }}',
            f'{{ id = "X{n}", is = "joint" }}',
        ])  # fmt: skip  # rows that a reader compares
    return text


def _run(name: str, start: str, end: str, parts: list[str]) -> str:
    lines = ",\n  ".join(parts)
    return f'\n[[run]]\nname = "{name}"\nfrom = "{start}"\nto = "{end}"\nparts = [\n  {lines},\n]\n'


def whole(circuit: Circuit, named: Collection[str]) -> Circuit:
    """The boat as she is, cut nowhere."""
    return circuit.without_faults()


def test_an_invented_boat_is_told_the_same_cut_and_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = boat_file(tmp_path, '"X1 resistance 1.6 ohm", "E1 blown"', panels=2)
    hunt = load_exercise(path)
    assert isinstance(isolation.close_in(hunt.circuit, hunt.named), NearCircuit)
    cut = check_file(path)
    assert "no test in reach tells E1 blown from E1 missing" in cut.problems[0]
    monkeypatch.setattr(isolation, "close_in", whole)
    assert check_file(path) == cut


def cut_anyway(circuit: Circuit, named: Collection[str]) -> Circuit:
    """What is near, of a boat of any size."""
    return near_boat(circuit.without_faults(), named, least=0)


@pytest.mark.parametrize("name", ["board-lamp-dark", "lights-dip-with-pump"])
def test_shipped_hunts_are_told_the_same_cut_and_whole(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Boats of fewer than 40 parts are cut nowhere in use; here those are that can be.
    hunt = load_exercise(EXERCISES / f"{name}.toml")
    assert isinstance(cut_anyway(hunt.circuit, hunt.named), NearCircuit)
    monkeypatch.setattr(isolation, "close_in", cut_anyway)
    cut = isolation.not_isolated(hunt)
    monkeypatch.setattr(isolation, "close_in", whole)
    assert isolation.not_isolated(hunt) == cut
