"""Alternating volts beside the direct ones, against ngspice's small-signal analysis and by hand."""

from __future__ import annotations

import math
import re
import subprocess
from pathlib import Path
from typing import ClassVar

import pytest

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.measuring.meter import read
from labkit.parts import Battery, Cable, Fuse, Indicator, Lampholder, MotorLoad, Supply
from labkit.parts.base import PartState
from labkit.parts.laws import Value
from labkit.solving.netlist import node_names, to_spice
from labkit.solving.ripple import ripple_between, ripples
from tests.solving.engine import NGSPICE


class Rattling(Supply):
    """A supply that ripples by 0.2 V and a thousandth of its amperes, peak to peak."""

    kind: ClassVar[str] = "rattling supply"
    ripple_ohms: ClassVar[float] = 0.05

    def ripple_volts(self, state: PartState, amps: Value) -> Value:
        return 0.2 + 1e-3 * abs(amps)


def boat(*more: object, emf: str = "12.6 V") -> Circuit:
    return build_circuit(
        "rattling",
        run("DC-", "stud", Battery("G1", emf=emf, resistance="6 mohm")),
        run("DC-", "alternator", Rattling("G2", voltage="14.2 V")),
        run("alternator", "stud", Cable("W1", resistance="10 mohm")),
        *more,  # type: ignore[arg-type]
    )  # fmt: skip  # rows that a reader compares


def test_ripple_divides_between_what_it_meets() -> None:
    circuit = boat()
    amps = (14.2 - 12.6) / (6e-3 + 5e-3 + 10e-3)
    rms = (0.2 + 1e-3 * amps) / (2 * math.sqrt(2))
    at_battery = rms * 6 / (6 + 10 + 50)
    assert ripple_between(circuit, "stud", "DC-", 1e7) == pytest.approx(at_battery, rel=1e-6)
    # 10 mohm further away there is nearly three times as much: limits differ by where they hold.
    at_stud = read(circuit, "alternator", function="volts AC").value
    assert at_stud == pytest.approx(rms * 16 / 66, rel=1e-6)
    assert read(circuit, "alternator").value == pytest.approx(14.2 - 5e-3 * amps, rel=1e-6)


def test_two_that_are_not_in_step_add_as_squares() -> None:
    two = boat(run("DC-", "alternator", Rattling("G3", voltage="14.2 V")))
    amps = (14.2 - 12.6) / (6e-3 + 2.5e-3 + 10e-3) / 2
    rms = (0.2 + 1e-3 * amps) / (2 * math.sqrt(2))
    load = 1 / (1 / 0.05 + 1 / 0.016)
    each = rms * load / (load + 0.05)
    assert ripple_between(two, "alternator", "DC-", 1e7) == pytest.approx(
        each * math.sqrt(2), rel=1e-6
    )


def test_where_nothing_ripples_the_meter_shows_nothing() -> None:
    still = build_circuit(
        "still",
        run("DC-", "plus", Battery("G1", emf="12.6 V")),
        run("plus", "DC-", Fuse("F1", rating="5 A"), Lampholder("E1", power="10 W")),
    )
    assert not ripples(still)
    assert read(still, "plus", function="volts-ac").display == "0.0 mV"


def test_small_signals_are_as_ngspice_has_them(tmp_path: Path) -> None:
    loads = run("stud", "lamp", Cable("W2", resistance="80 mohm"))
    lit = run("lamp", "DC-", Lampholder("E1", power="55 W"))
    told = run("lamp", "DC-", Indicator("P1"))
    turning = run("stud", "DC-", MotorLoad("M1", current="5 A"))
    circuit = boat(loads, lit, told, turning)
    rms = ripple_between(circuit, "lamp", "DC-", 1e12)
    # The netlist of the operating point, its supply's resistance that of the ripple's in addition,
    # the motor a current that does not change.
    amps = (0.2 + 1e-3 * abs(read(circuit, "G2:+", function="clamp").value or 0.0)) / math.sqrt(8)
    text = to_spice(circuit)
    text = re.sub(r"(?m)^B_m1.*$", "", text)
    text = re.sub(r"(?m)^(R_g2 \S+ \S+) \S+$", r"\1 0.05", text)
    text = re.sub(r"(?m)^(V_g2 \S+ \S+ \S+)$", r"\1 ac 1", text)
    node = node_names(circuit)["lamp"]
    text = text.replace(".op\n", f".ac lin 1 100 100\n.print ac vm({node})\n")
    path = tmp_path / "ripple.cir"
    path.write_text(text, encoding="ascii")
    out = subprocess.run([str(NGSPICE), "-b", path], capture_output=True, text=True, check=False)
    found = re.search(r"(?m)^0\s+1\.0+e\+02\s+(\S+)", out.stdout)
    assert found, out.stdout
    assert rms == pytest.approx(float(found.group(1)) * amps, rel=2e-3)
