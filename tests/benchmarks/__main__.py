"""What takes how long, each goal beside it, and whether it is held. Never fails.

``python -m tests.benchmarks`` prints all of it, ``python -m tests.benchmarks screen`` the bench in
a browser alone; TABLES names the others. Times are of the processor, so that a busy machine tells
the same; they still vary by half, and the ratios are of times taken in the same run. On screen they
are of the clock, with the machine's load beside them.
"""

from __future__ import annotations

import math
import statistics
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from itertools import cycle
from random import Random

from rich.console import Console
from rich.table import Table

from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import read
from labkit.measuring.readings import readings
from labkit.solving.bulk import solve_many
from labkit.solving.network_many import flatten_many
from labkit.solving.settling_many import settle_many
from labkit.solving.solver import solve
from tests.benchmarks.boats import boat, states
from tests.benchmarks.engines import (
    NGSPICE,
    Bare,
    alter_and_op,
    bare_lapack,
    corroded,
    processor_time,
    sweep,
)
from tests.benchmarks.goals import Line, held
from tests.benchmarks.kept import kept
from tests.benchmarks.promises import advice, agreement, islands, notebooks
from tests.benchmarks.scale import scale
from tests.benchmarks.screen import screen
from tests.benchmarks.week import week
from tests.boats import CIRCUITS, ROOT

SIZES = (15, 45, 150, 500, 2000)
COUNT = 5000
RUNS = 5


def median(act: Callable[[], object], runs: int = RUNS) -> float:
    """Median time of an act after one run to warm up. [s]"""
    act()
    return statistics.median(timed(act) for _ in range(runs))


def timed(act: Callable[[], object]) -> float:
    """Processor time of an act, of programs it starts too. [s]"""
    start = processor_time()
    act()
    return processor_time() - start


def line(what: str, measured: float, unit: str = "s", goal: float | None = None) -> Line:
    """A line of the table; the ratio is what was measured over the goal."""
    scale = {"s": 1.0, "ms": 1e3, "us": 1e6}[unit]
    shown = f"{measured * scale:.3g} {unit}"
    if goal is None:
        return what, "", shown, ""
    return what, f"{goal * scale:g} {unit}", shown, f"{measured / goal:.2f}"


def times(what: str, measured: float, goal: float, least: bool = True) -> Line:
    """A line for how many times quicker (or, where `least` is false, slower at most)."""
    sign = "at least" if least else "at most"
    return what, f"{sign} {goal:g}", f"{measured:.3g}", f"{measured / goal:.2f}"


def starting() -> Iterator[Line]:
    """How long a fresh interpreter takes to import labkit, itself taken off, and to do commands."""

    def run(*code: str) -> Callable[[], object]:
        command = [sys.executable, *code]
        return lambda: subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)

    bare = median(run("-c", "pass"))
    yield line("import labkit", median(run("-c", "import labkit")) - bare, "s", 0.3)
    yield line("import labkit.widgets", median(run("-c", "import labkit.widgets")) - bare, "s")
    labkit = ("-c", "from labkit.cli.main import main; main()")
    yield line("labkit --help, all of it", median(run(*labkit, "--help")), "s", 0.25)
    small = str(CIRCUITS[0].with_name("washdown.toml"))
    yield line(
        "labkit solve of a small file, all of it", median(run(*labkit, "solve", small)), "s", 0.5
    )


def single() -> Iterator[Line]:
    """Readings and operating points one at a time; each reading between points new to it."""
    small = boat(45)
    points = [p for p in small.node_of if ":" in p]
    rng = Random(1)
    pairs = cycle([tuple(rng.sample(points, 2)) for _ in range(400)])
    yield line("one reading, 45 nodes", median(lambda: read(small, *next(pairs)), 300), "ms", 1e-3)
    made = iter([boat(45, seed) for seed in range(30)])
    first = median(lambda: read(next(made), "W1:2"), 29)
    yield line("first reading of a boat, 45 nodes", first, "ms")
    taken = {}
    for nodes in SIZES:
        made = iter([boat(nodes, seed) for seed in range(RUNS + 1)])
        taken[nodes] = median(lambda made=made: solve(next(made)))  # type: ignore[misc]
        goal = 1.0 if nodes == 2000 else None
        yield line(f"one operating point, {nodes} nodes", taken[nodes], "ms", goal)
    growth = math.log(taken[2000] / taken[45]) / math.log(2000 / 45)
    yield times("growth of that with n, as a power of n, 45 to 2000", growth, 1.2, least=False)


def bulk() -> Iterator[Line]:
    """Many operating points of one boat, and the same points by other means, in turn."""
    small = boat(45)
    mixed = states(small, COUNT)
    each = median(lambda: solve_many(mixed)) / COUNT
    yield line(f"a point in bulk, {COUNT} states of switches and faults", each, "us")
    rng = Random(2)
    joints = [id for id in small.parts if id.startswith("X")]
    points = [
        {id: 10 ** rng.uniform(-2, 2) for id in rng.sample(joints, rng.randint(1, 3))}
        for _ in range(COUNT)
    ]
    altered = [corroded(small, ohms) for ohms in points]
    swept = _swept(small, 20.0)
    here: dict[str, list[float]] = {}
    most = 20.0
    bare: list[Bare] = []
    for _ in range(RUNS):
        made = timed(lambda: solve_many(_swept(small, most)))
        here.setdefault("all in", []).append(made)
        for name, circuits in (("altered", altered), ("swept", swept)):
            here.setdefault(name, []).append(timed(lambda c=circuits: solve_many(c)))
            net = flatten_many(circuits)
            settling = timed(lambda net=net: settle_many(net))
            here.setdefault(f"{name} arrays", []).append(settling)
        bare.append(bare_lapack(altered))
        here.setdefault("lapack", []).append(bare[-1].whole)
        here.setdefault("reduced", []).append(bare[-1].reduced)
        if NGSPICE is not None:
            here.setdefault("op", []).append(alter_and_op(small, points[: COUNT // 10]) * 10)
            here.setdefault("dc", []).append(sweep(small, "X1", COUNT, most))
            here.setdefault("dc all in", []).append(sweep(small, "X1", COUNT, most, all_in=True))
    taken = {key: statistics.median(values) / COUNT for key, values in here.items()}
    yield line("a point in bulk, up to three corroded joints", taken["altered"], "us")
    yield line("of that, once laid out in arrays", taken["altered arrays"], "us")
    yield line("a point in bulk, one joint swept", taken["swept"], "us")
    yield line("of that, once laid out in arrays", taken["swept arrays"], "us")
    nodes, left = bare[-1].nodes, bare[-1].left
    yield line(f"a point by LAPACK alone, all {nodes} nodes", taken["lapack"], "us")
    share = taken["altered"] / taken["lapack"]
    yield times("time in bulk over that", share, 0.25, least=False)
    yield line(f"a point by LAPACK alone, the {left} nodes left", taken["reduced"], "us")
    share = taken["altered"] / taken["reduced"]
    yield times("time in bulk, all of it, over that", share, 1, least=False)
    if NGSPICE is None:
        yield "ngspice", "", "not installed", ""
        return
    yield line("a point by ngspice, alter and op", taken["op"], "us")
    yield times("bulk quicker than alter and op", taken["op"] / taken["altered"], 50)
    yield line("a point by ngspice, dc sweep", taken["dc"], "us")
    yield times("bulk quicker than dc sweep, from circuits", taken["dc"] / taken["swept"], 5)
    yield line("a point swept, the making of its circuit included", taken["all in"], "us")
    yield line("a point by dc sweep, netlist and start included", taken["dc all in"], "us")
    yield times("quicker, all in on both sides", taken["dc all in"] / taken["all in"], 5)
    arrays = taken["dc"] / taken["swept arrays"]
    yield times("bulk quicker than dc sweep, once laid out in arrays", arrays, 5)


def _swept(circuit: Circuit, most: float) -> list[Circuit]:
    """States given as circuits: one joint from nothing to so many ohms added."""
    return [corroded(circuit, {"X1": most * n / (COUNT - 1)}) for n in range(COUNT)]


def voltmeter(hypotheses: int = 500, settings: int = 12, pairs: int = 800) -> Iterator[Line]:
    """A table of readings for diagnosis: every hypothesis, setting of switches and pair."""
    small, rng = boat(45), Random(4)
    switches = [id for id, part in small.parts.items() if part.kind == "switch"]
    bases = [
        small.with_position(**{id: "off" for id in switches if n and rng.random() < 0.25})
        for n in range(settings)
    ]
    single = [c.faults for c in states(small, 4 * hypotheses, 5, 1) if c.faults][:hypotheses]
    circuits = [base.with_fault(*faults) for base in bases for faults in single]
    points = list(small.node_of)
    chosen = [(rng.choice(points), rng.choice(points)) for _ in range(pairs)]
    taken = timed(lambda: readings(circuits, chosen))
    yield line(f"{len(circuits):,} circuits x {pairs} pairs of points", taken, "s")


def answered(count: int = 100_000, portion: int = 10_000) -> Iterator[Line]:
    """Seeded states of a boat, up to three faults each, of which none may lack an answer."""
    small = boat(45)
    start, lacking, restless = processor_time(), 0, 0
    for seed in range(count // portion):
        found = solve_many(states(small, portion, seed))
        lacking += len(found.unsolved)
        restless += int(found.chattering.sum())
    each = (processor_time() - start) / count
    yield f"of {count:,} random states, without an answer", "0", str(lacking), ""
    yield f"of {count:,} random states, that chatter", "", str(restless), ""
    yield line("each of these, the making of its circuit included", each, "us")


TABLES: dict[str, tuple[str, Callable[[], Iterator[Line]]]] = {
    "import": ("Starting up", starting),
    "single": ("One at a time", single),
    "bulk": ("In bulk, 45 nodes", bulk),
    "scale": ("Whole boats, each in a process of its own; growth as a power of parts", scale),
    "voltmeter": ("Voltmeter readings in bulk, 45 nodes", voltmeter),
    "answers": ("Answers, 45 nodes", answered),
    "advice": ("Advice", advice),
    "islands": ("Hard islands", islands),
    "ngspice": ("Agreement with ngspice", agreement),
    "kept": ("A long hunt taken up again", kept),
    "week": ("Time aboard", week),
    "notebooks": ("Notebooks", notebooks),
    "screen": ("On screen, by the clock; rounds are of a hundred clicks", screen),
}


def main(names: Iterable[str]) -> None:
    """Print the tables asked for, or all, each as it is done."""
    console = Console()
    for name in names or TABLES:
        title, lines = TABLES[name]
        table = Table(title=title, title_justify="left")
        for head in ("what", "goal", "measured", "ratio or load", "held"):
            table.add_column(head, justify="left" if head == "what" else "right")
        for row in lines():
            table.add_row(*row, held(*row[1:3]))
        console.print(table)


if __name__ == "__main__":
    main(sys.argv[1:])
