"""The bench where no widget lives: a saved notebook as a page, and the built package."""

import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

import nbformat
import pytest
from nbclient import NotebookClient
from nbconvert import HTMLExporter

from tests.boats import EXERCISES, ROOT

SOURCE = f"""\
from labkit import load_circuit
from labkit.aboard.bench import Bench
from labkit.widgets import ClickBench, PlainBench

bench = Bench(load_circuit({str(EXERCISES / "circuits" / "washdown.toml")!r}))
_ = bench.read("panel", "DC-")
"""


def test_a_notebook_made_into_a_page_shows_the_drawing_and_the_last_readings() -> None:
    cells = [
        nbformat.v4.new_code_cell(s) for s in (SOURCE, "ClickBench(bench)", "PlainBench(bench)")
    ]
    notebook = nbformat.v4.new_notebook(cells=cells)
    NotebookClient(
        notebook, kernel_name="python3", resources={"metadata": {"path": ROOT}}
    ).execute()
    notebook.metadata.pop("widgets", None)
    page, _ = HTMLExporter().from_notebook_node(notebook)
    pictures = re.findall(r'<img alt="([^"]*)"[^>]*src="data:image/svg\+xml,([^"]+)"', page)
    assert len(pictures) == 2
    for alt, source in pictures:
        svg = unquote(source)
        ElementTree.fromstring(svg)
        for said in (alt, svg):
            assert "red 5 (panel), black 1 (DC-): 12.70\N{NO-BREAK SPACE}V" in said
            assert "washdown pump" in said
    assert "application/vnd.jupyter.widget-view+json" not in page


def test_the_wheel_has_the_script_and_the_style(tmp_path: Path) -> None:
    tree = tmp_path / "tree"
    shutil.copytree(ROOT / "labkit", tree / "labkit")
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, tree)
    command = [
        sys.executable, "-m", "pip", "wheel", str(tree), "--no-deps", "--quiet",
        "--wheel-dir", str(tmp_path),
    ]  # fmt: skip
    made = subprocess.run(command, capture_output=True, text=True, check=False)
    if made.returncode:
        pytest.fail(made.stderr)
    (wheel,) = tmp_path.glob("labkit-*.whl")
    with zipfile.ZipFile(wheel) as packed:
        for name in ("bench.js", "bench.css"):
            there = packed.read(f"labkit/widgets/{name}")
            assert there == (ROOT / "labkit" / "widgets" / name).read_bytes()
