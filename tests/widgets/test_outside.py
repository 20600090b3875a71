"""The bench where no widget lives: a saved notebook as a page."""

import re
from urllib.parse import unquote
from xml.etree import ElementTree

import nbformat
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
