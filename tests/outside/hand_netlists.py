"""Circuits whose ngspice netlists were written by hand, solved by labkit and by ngspice.

Beside each `hand_netlists/NAME.cir` stands NAME.toml, the same circuit in labkit's format. In the
netlist a node `x1_2` is terminal X1:2 and `g1_p` is G1:+; other nodes (`emf`, `aux_...`) belong to
the netlist alone. A comment `* fault: X1 open` gives labkit the fault the netlist contains.
"""

from __future__ import annotations

import re
import subprocess
import tempfile
from pathlib import Path
from shutil import which

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.solving.solver import solve

from .checks import Check, Row, near
from .circuits import known

FOLDER = Path(__file__).with_name("hand_netlists")
TOLERANCE = 1e-6
"""Of a node voltage: volts, or the same share of it where it is above 1 V."""

_TERMINAL = re.compile(r"([a-z]{1,2}\d+)_(\w+)")
_PRINTED = re.compile(r"^(\w+) = (\S+)\s*$", re.MULTILINE)
_PRINT_ALL = ".control\nset numdgt=15\nop\nprint all\n.endc\n.end"


class EngineError(RuntimeError):
    """ngspice is not installed, or did not solve a netlist."""


def names() -> list[str]:
    """Names of the pairs of netlist and circuit file."""
    return sorted(path.stem for path in FOLDER.glob("*.cir"))


def _netlist(name: str) -> str:
    return (FOLDER / f"{name}.cir").read_text(encoding="utf-8")


def spice_volts(name: str) -> dict[str, float]:
    """Solve a netlist by ngspice: terminals of labkit's circuit to volts.

    Raises
    ------
    EngineError
        If ngspice is missing or fails.
    """
    program = which("ngspice")
    if program is None:
        raise EngineError("ngspice is not installed; these checks need it: apt-get install ngspice")
    netlist = re.sub(r"^\.end\s*$", _PRINT_ALL, _netlist(name), flags=re.MULTILINE)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, f"{name}.cir")
        path.write_text(netlist, encoding="utf-8")
        done = subprocess.run(
            [program, "-b", path.name], cwd=folder, capture_output=True, text=True, timeout=30
        )
    volts = {}
    for node, value in _PRINTED.findall(done.stdout):
        if match := _TERMINAL.fullmatch(node):
            terminal = {"p": "+", "n": "-"}.get(match[2], match[2])
            volts[f"{match[1].upper()}:{terminal}"] = float(value)
    if not volts:
        raise EngineError(f"ngspice did not solve {name}.cir: {done.stderr.strip()[-300:]}")
    return volts


def faulted_circuit(name: str) -> Circuit:
    """Read the circuit file beside a netlist, with the faults the netlist names."""
    faults = re.findall(r"^\* fault: (.+?)\s*$", _netlist(name), flags=re.MULTILINE)
    return load_circuit(FOLDER / f"{name}.toml").with_fault(*faults)


def checks_of(name: str) -> list[Check]:
    """Compare every node that the netlist and the circuit file share."""
    solved = solve(faulted_circuit(name))
    checks = []
    for terminal, right in spice_volts(name).items():
        found = known(solved.volts[terminal])
        tolerance = TOLERANCE * max(1.0, abs(right))
        checks.append(near(f"{name} {terminal}", found, right, tolerance))
    return checks


def rows() -> list[Row]:
    """The row of the table on hand-written netlists."""
    return [
        Row(
            f"Every node voltage of {len(names())} circuits, netlists written by hand",
            "ngspice",
            "computed by it at each run",
            lambda: [check for name in names() for check in checks_of(name)],
        )
    ]
