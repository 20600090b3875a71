"""The same operating points by other means: ngspice in two ways, and LAPACK on the bare matrices.

All of them are given their best: ngspice keeps its own, looser tolerances and its start is taken
off; LAPACK is handed finished matrices and asked nothing but to solve them, as often as Newton's
method did.
"""

from __future__ import annotations

import re
import resource
import shutil
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import numpy as np

import labkit.solving.newton_many
from labkit.circuits.circuit import Circuit
from labkit.parts import Fault
from labkit.solving.netlist import to_spice
from labkit.solving.network_many import flatten_many
from labkit.solving.settling_many import settle_many

NGSPICE = shutil.which("ngspice")


def processor_time() -> float:
    """Processor time of this program and of those it has started and seen end. [s]"""
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + ended.ru_utime + ended.ru_stime


def corroded(circuit: Circuit, ohms: dict[str, float]) -> Circuit:
    """The circuit with resistance added to joints, made as the reasoning makes its hypotheses."""
    faults = [Fault(id, "resistance", amount=f"{r!r} ohm", value=r) for id, r in ohms.items()]
    return circuit.but(faults=tuple(faults))


def alter_and_op(circuit: Circuit, points: Sequence[dict[str, float]]) -> float:
    """Time of ngspice's `alter` and `op`, point after point in one process. [s]"""
    lines: list[str] = []
    before: list[str] = []
    for ohms in points:
        lines += [f"alter r_{id.lower()} = {_own(circuit, id)!r}" for id in before]
        lines += [f"alter r_{id.lower()} = {_own(circuit, id) + r!r}" for id, r in ohms.items()]
        lines += ["op", "destroy all"]
        before = list(ohms)
    return _run(circuit, lines) - _run(circuit, ["op"])


def sweep(circuit: Circuit, id: str, count: int, most: float, all_in: bool = False) -> float:
    """Time of ngspice's `dc` of one joint from nothing to so many ohms added. [s]

    `all_in` counts all there is on its side: the netlist written, its start, and the voltages of
    all points and nodes brought into an array here, where labkit has them.
    """
    least = _own(circuit, id)
    step = most / (count - 1)
    command = f"dc r_{id.lower()} {least!r} {least + most + step / 2!r} {step!r}"
    if all_in:
        with TemporaryDirectory() as folder:
            raw = Path(folder) / "swept.raw"
            start = processor_time()
            _run(circuit, [command, f"write {raw}"])
            head, _, body = raw.read_bytes().partition(b"Binary:\n")
            shown = np.frombuffer(body).reshape(count, -1)
            taken = processor_time() - start
        assert b"Plotname: DC transfer characteristic" in head
        assert np.isfinite(shown).all()
        return taken
    return _run(circuit, [command]) - _run(circuit, ["op"])


def _own(circuit: Circuit, id: str) -> float:
    return circuit.parts[id].own_resistance


def _run(circuit: Circuit, commands: list[str]) -> float:
    assert NGSPICE is not None
    netlist = re.sub(r"\.options .* temp", ".options temp", to_spice(circuit)).replace(".op\n", "")
    script = "\n".join([".control", *commands, "quit", ".endc", ".end", ""])
    with TemporaryDirectory() as folder:
        path = Path(folder) / "boat.cir"
        path.write_text(netlist.replace(".end\n", script), encoding="ascii")
        start = processor_time()
        done = subprocess.run([NGSPICE, "-b", path], capture_output=True, text=True, check=False)
        taken = processor_time() - start
    problems = [x for x in (done.stdout + done.stderr).splitlines() if "rror" in x]
    assert not problems, problems
    return taken


class Bare(NamedTuple):
    """Time LAPACK takes, once a step of Newton's method: whole matrices, and what is left of them.

    `reduced` is given the nodes that labkit solves at every step too, the others eliminated for it
    beforehand at no cost. [s]
    """

    whole: float
    reduced: float
    nodes: int
    left: int


def bare_lapack(circuits: Sequence[Circuit]) -> Bare:
    """Time LAPACK on the nodal matrices of some circuits."""
    steps = 0
    plain = labkit.solving.newton_many.companion

    def counted(law, there, v, close, xp):  # type: ignore[no-untyped-def]
        nonlocal steps
        steps += v.shape[1]
        return plain(law, there, v, close, xp)

    net = flatten_many(circuits)
    labkit.solving.newton_many.companion = counted
    try:
        solution = settle_many(net).solution
    finally:
        labkit.solving.newton_many.companion = plain
    kinds = {type(wire.law) for n, wire in enumerate(net.wires) if n in solution.inner}
    matrices = np.zeros((len(circuits), net.nodes, net.nodes))
    for n, wire in enumerate(net.wires):
        for a, b, sign in (
            (wire.first, wire.first, 1), (wire.second, wire.second, 1),
            (wire.first, wire.second, -1), (wire.second, wire.first, -1),
        ):  # fmt: skip  # rows that a reader compares
            matrices[:, a, b] += sign * solution.slopes[n]
    bare = np.ascontiguousarray(matrices[:, 1:, 1:]) + 1e-12 * np.eye(net.nodes - 1)
    core = np.array([step.node - 1 for step in net.plan.core])
    left = np.ascontiguousarray(bare[:, core[:, None], core[None, :]])
    each = steps / len(kinds) / len(circuits)
    return Bare(_lapack(bare) * each, _lapack(left) * each, bare.shape[1], len(core))


def _lapack(matrices: np.ndarray) -> float:
    right = np.ones((*matrices.shape[:2], 1))
    start = processor_time()
    np.linalg.solve(matrices, right)
    return processor_time() - start
