"""Metal in the sea, relays and a battery that runs down, against tables and an integrator."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.clock.bodies import SELF_DISCHARGE
from labkit.clock.course import Course
from labkit.measuring.meter import read
from labkit.parts import Battery, Cable, Fitting, PartState, Relay, Resistor
from labkit.parts.cells import EVENS_OUT, NEAR, Cell
from labkit.parts.laws import Floats
from labkit.parts.underwater import POTENTIALS
from labkit.solving.network import flatten
from labkit.solving.settling import settle
from labkit.solving.solver import solve

from . import table_files

METALS = table_files.read("corrosion")
RELAYS = table_files.read("relays")


def in_the_sea(*metals: str) -> Circuit:
    """Fittings of these metals on one wire."""
    return build_circuit(
        "in the sea",
        run("DC-", "plus", Battery("G1", emf="12.6 V")),
        run("plus", "DC-", Resistor("R1", resistance="100 ohm")),
        run("bond", "DC-", Cable("W1", size="10 mm2", length="1 m")),
        *(run("bond", "sea", Fitting(f"X{n}", metal=metal)) for n, metal in enumerate(metals, 1)),
    )  # fmt: skip  # rows that a reader compares


def test_every_metal_of_a_fitting_is_in_the_table() -> None:
    assert set(POTENTIALS) == {row["metal"] for row in METALS}


@pytest.mark.parametrize("row", METALS, ids=lambda row: row["metal"])
def test_a_fitting_alone_stands_where_the_tables_have_it(row: dict[str, str]) -> None:
    volts = read(in_the_sea(row["metal"]), "X1:1", "sea").value
    assert volts is not None
    assert float(row["low"]) <= volts <= float(row["high"])
    if row["second"]:  # published tables differ from one another by up to 0.14 V
        assert volts == pytest.approx(float(row["second"]), abs=0.14)


def test_a_zinc_draws_bonded_bronze_by_more_than_two_hundred_millivolts() -> None:
    # "Metals further apart than 200 mV need protection" (docslib 8174925); bonded to zinc, bronze
    # stands between the two, and zinc is what is eaten.
    alone = read(in_the_sea("bronze"), "X1:1", "sea").value or 0.0
    both = in_the_sea("bronze", "zinc")
    bonded = read(both, "X1:1", "sea").value or 0.0
    zinc = read(in_the_sea("zinc"), "X1:1", "sea").value or 0.0
    assert zinc < bonded < alone - 0.2
    assert solve(both).amps["X2"] == pytest.approx(-(solve(both).amps["X1"] or 0.0), rel=1e-6)


def _relay(row: dict[str, str], volts: float, usual: bool = False) -> Circuit:
    keys = {"coil": f"{row['coil']} ohm"}
    if not usual:
        keys |= {"pull_in": f"{row['operate']} V", "drop_out": f"{row['release']} V"}
    relay = Relay("K1", **keys)
    return build_circuit(
        "relay",
        run("DC-", "plus", Battery("G1", emf=f"{volts} V", resistance="0 ohm")),
        run("plus", "DC-", Via(relay, "86-85")),
        run("plus", "DC-", Via("K1", "30-87"), Resistor("R1", resistance="100 ohm")),
        system=f"{row['rated']} V",
    )  # fmt: skip  # rows that a reader compares


@pytest.mark.parametrize("row", RELAYS, ids=lambda row: f"{row['class']} {row['rated']} V")
def test_a_relay_of_each_class_works_from_its_operate_volts_and_holds_to_its_release_volts(
    row: dict[str, str],
) -> None:
    operate, release = float(row["operate"]), float(row["release"])
    assert solve(_relay(row, operate * 1.001)).states["K1"] == "pulled in"
    assert solve(_relay(row, operate * 0.999)).states["K1"] == "at rest"
    for share, held in ((1.001, 1.0), (0.999, 0.0)):
        net = flatten(_relay(row, release * share))
        (_, states) = settle(net, {0: 1.0})[-1]
        assert states[0] == held
    usual = Relay("K1").thresholds(float(row["rated"]))
    assert usual[0] <= 7.2 / 12 * float(row["rated"])  # no more than the class that needs most
    assert usual[1] >= release


def test_a_battery_runs_down_as_an_integrator_finds() -> None:
    # Two wells, the near one under a resistance that grows as it empties; lsoda at 1e-9.
    battery = Battery("G1", charge="90 %", capacity="50 Ah")
    circuit = build_circuit(
        "runs down",
        run("DC-", "plus", battery),
        run("plus", "DC-", Resistor("R1", resistance="2 ohm")),
    )
    capacity = 50 * 3600.0

    def amps(near: float) -> float:
        (branch,) = battery.model(PartState(12.0, memory={"near": near})).branches
        law = branch.law
        assert isinstance(law, Cell)

        def over(i: float) -> float:
            surface = brentq(
                lambda y: law.at(-law.emf - y, False, Floats)[0] - i, -5.0, 5.0, xtol=1e-14
            )
            return float(law.emf + surface - (law.series + 2.0) * i)

        return float(brentq(over, 0.0, 10.0, xtol=1e-13))

    def rates(_: float, y: np.ndarray) -> list[float]:
        near, bulk = y
        flow = EVENS_OUT * (bulk - near)
        drained = amps(near) / capacity + SELF_DISCHARGE / 86400
        return [(flow - drained) / NEAR, -flow / (1 - NEAR)]

    seconds = 3 * 3600.0
    right = solve_ivp(rates, (0.0, seconds), [0.9, 0.9], "LSODA", rtol=1e-9, atol=1e-10)
    course = Course(circuit, show=("G1", "plus"), tolerance=0.003).play(seconds)
    state = course.world.bodies["G1"].state
    assert state[:2] == pytest.approx(right.y[:, -1], abs=1e-4)
    volts = course.point.volts["plus"]
    assert volts == pytest.approx(2.0 * amps(float(right.y[0, -1])), rel=1e-4)
