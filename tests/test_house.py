"""The rules of the house: quick imports, layers, module size, what the wheel must hold."""

import re
import subprocess
import sys
import tomllib

import pytest

import labkit
from tests.boats import ROOT

MODULES = sorted((ROOT / "labkit").rglob("*.py"))
HEAVY = ("matplotlib", "schemdraw", "ipywidgets", "anywidget", "scipy", "pydantic", "numpy", "rich")


def test_importing_labkit_loads_nothing_heavy():
    code = f"import sys, labkit; print([m for m in {HEAVY} if m in sys.modules])"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert loaded.stdout.strip() == "[]"


PUBLIC = labkit.__all__


@pytest.mark.parametrize("name", PUBLIC)
def test_every_public_name_leads_to_something_documented(name):
    assert getattr(labkit, name).__doc__


def test_the_front_door_shows_what_a_notebook_needs_and_nothing_else():
    assert dir(labkit) == PUBLIC
    assert len(PUBLIC) <= 28
    assert {"load_circuit", "Bench", "ask", "bench", "draw", "hunt", "read", "solve"} <= {*PUBLIC}


def test_no_room_shadows_a_public_name():
    rooms = {path.stem for path in (ROOT / "labkit").iterdir()}
    assert len(rooms) > 15
    assert not rooms & {*PUBLIC}


def test_all_names_can_be_had_at_once():
    code = f"from labkit import {', '.join(PUBLIC)}; import labkit.hunts.hunt; print(hunt, bench)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.count("<function") == 2


def test_a_name_that_is_not_there_is_said_so():
    with pytest.raises(AttributeError, match="no attribute 'sorcery'"):
        labkit.sorcery  # noqa: B018  # the access is what is tested


def test_imports_run_downwards():
    code = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.returncode == 0, done.stdout


def test_the_guide_lists_every_room_in_the_order_of_the_contract():
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8").partition("| room |")[2]
    rooms = re.findall(r"(?m)^\| `(\w+)` \|", guide.partition("\n\n")[0])
    assert rooms == settings["tool"]["importlinter"]["contracts"][0]["layers"]


def test_the_formatter_lays_out_all_but_tables():
    within = re.compile(r"(?m)^[ \t].*# fmt: (?:skip|off)")
    assert not [str(m) for m in MODULES if within.search(m.read_text(encoding="utf-8"))]


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(ROOT)))
def test_no_module_is_long(module):
    assert len(module.read_text(encoding="utf-8").splitlines()) <= 400


def test_the_readme_lists_every_notebook_and_every_command():
    from labkit.cli.main import app

    rows = [row for row in (ROOT / "README.md").read_text("utf-8").splitlines() if row[:2] == "| "]
    files = sorted((ROOT / "notebooks").glob("*.ipynb"))
    first = [row.split("|")[1].strip() for row in rows]
    assert [cell for cell in first if re.fullmatch(r"\d+b?", cell)] == [
        file.name.split("-")[0].lstrip("0") for file in files
    ]
    named = " ".join(row.split("|")[1] for row in rows)
    commands = [command.name or command.callback.__name__ for command in app.registered_commands]
    assert len(commands) >= 12
    assert all(f"`{command}`" in named for command in commands)


SCRIPTS = sorted(path for path in (ROOT / "labkit").rglob("*") if path.suffix in (".js", ".mjs"))


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_every_script_is_javascript(script):
    read = subprocess.run(
        ["node", "--input-type=module", "--check"], input=script.read_bytes(), check=False,
        capture_output=True,
    )  # fmt: skip  # rows that a reader compares
    assert not read.returncode, read.stderr.decode()
