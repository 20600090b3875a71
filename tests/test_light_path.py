"""A hunt needs neither numpy nor matplotlib: a whole one is played with both of them barred."""

import subprocess
import sys

from tests.boats import ROOT

BARRED = ("numpy", "matplotlib", "scipy")

HUNT = """
import sys
for name in {barred}:
    sys.modules[name] = None  # an import of it fails
from labkit.circuits.circuit_file import load_circuit
from labkit.drawing import draw
from labkit.exercises.exercise import load_exercise
from labkit.hunts.hunt import Hunt
from labkit.questions import Predict
from labkit.solving.solver import solve
from labkit.widgets.model import BenchModel
from labkit.widgets.state import drawing_state

circuit = load_circuit("exercises/circuits/washdown.toml")
print(round(solve(circuit).volts["G1:+"], 2), len(draw(circuit).svg) > 5000)
print(Predict(circuit, "X1:1").grade("12.6 V").right)
hunt = Hunt(load_exercise("exercises/slow-washdown.toml"), "Ada")
hunt.bench.switch("S2", "on")
print(hunt.bench.look("M1").shows, "/", hunt.bench.read("M1:1", "DC-", "volts").unit)
print(len(drawing_state(BenchModel(hunt.bench))["points"]))
fault = hunt.dealt.circuit.faults[0]
verdict = hunt.name(fault.part, fault.mode)
hunt.bench.repair(fault.part)
print(verdict.right, verdict.text, hunt.prove().ok)
print([name for name in {barred} if sys.modules[name] is not None])
"""


def run(code: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_whole_hunt_is_played_without_numpy_and_matplotlib():
    volts, predicted, seen, points, named, loaded = run(HUNT.format(barred=BARRED)).splitlines()
    assert volts == "12.7 True"
    assert predicted in ("True", "False")
    assert seen.endswith("/ V")
    assert int(points) > 5
    assert named.startswith("True")
    assert "weighs no readings" in named
    assert named.endswith("True")
    assert loaded == "[]"


CARD = """
import sys
for name in {barred}:
    sys.modules[name] = None
from labkit.exercises.exercise import load_exercise
from labkit.hunts.hunt import Hunt
from labkit.widgets.hunting import HuntCard

hunt = Hunt(load_exercise("exercises/slow-washdown.toml"), "Ada")
card = HuntCard(hunt)
card.hint()
print(card.said)
card.name("F1", "open")
card.name("X1", "high resistance")
hunt.bench.repair("X1")
card.prove()
print(card._looked_back.value.replace("<p>", chr(10)))
"""


def test_a_card_is_worked_to_its_proof_where_readings_are_not_weighed():
    hint, *looked_back = run(CARD.format(barred=BARRED)).splitlines()
    assert hint == "Readings are not weighed here, so there are no hints."
    for words in ("Repair proven", "Named wrongly", "Hazards: ", "Why it failed", "Cost: "):
        assert any(words in line for line in looked_back), words


WAY = (
    "circuits.circuit_file", "solving.solver", "measuring.meter", "aboard.bench",
    "exercises.dealing", "exercises.situations", "diagnosis.logbook", "hunts.kept", "questions",
    "drawing", "record", "widgets.hunting", "widgets.model", "widgets.state",
)  # fmt: skip  # rows that a reader compares
"""What a hunt needs, the lowest first, so that the first to load something heavy is the culprit."""


def test_nothing_on_the_way_loads_numpy_or_matplotlib():
    code = (
        "import importlib, sys\n"
        f"for name in {WAY}:\n"
        "    importlib.import_module(f'labkit.{name}')\n"
        f"    print(name, *[heavy for heavy in {BARRED} if heavy in sys.modules])"
    )
    assert run(code).splitlines() == list(WAY)


def test_the_commands_are_listed_before_anything_heavy_is_loaded():
    heavy = (*BARRED, "rich", "pydantic", "schemdraw", "quantiphy", "ipywidgets")
    code = f"import sys, labkit.cli.main; print([m for m in {heavy} if m in sys.modules])"
    assert run(code).strip() == "[]"


def test_a_circuit_is_solved_from_the_command_line_without_exercises_and_numpy():
    code = (
        "import sys; from labkit.cli.main import app\n"
        "app(['solve', 'exercises/circuits/washdown.toml', '--json'], standalone_mode=False)\n"
        "print([m for m in ('numpy', 'rich', 'labkit.exercises.exercise') if m in sys.modules])"
    )
    assert run(code).splitlines()[-1] == "[]"


def test_matplotlib_can_be_used_after_a_drawing_and_before_it():
    draw = "from labkit.drawing import draw; from labkit import load_circuit; import zlib\n"
    sums = "print(zlib.crc32(draw(load_circuit('exercises/circuits/washdown.toml')).svg.encode()))"
    done, plot = f"{sums}\n", "import matplotlib.figure; print(matplotlib.figure.Figure)\n"
    first, second = run(draw + done + plot).split("\n", 1)
    before = run(plot + draw + done).splitlines()
    assert first == before[1]
    assert second.strip() == before[0]
