"""What every notebook keeps to, besides running: pytest runs and compares them through nbval."""

import re

import nbformat
import pytest
from nbconvert import HTMLExporter

from labkit.widgets.curtain import WORDS
from tests.boats import ROOT
from tests.tidy_notebooks import WIDGET, tidy

FILES = sorted((ROOT / "notebooks").glob("*.ipynb"))
MOST_LINES = 14


def opened(path):
    return nbformat.read(path, as_version=4)


@pytest.fixture(params=FILES, ids=lambda f: f.stem)
def notebook(request):
    return opened(request.param)


def test_there_are_notebooks():
    assert FILES


def test_every_code_cell_was_run_so_that_its_output_is_compared(notebook):
    counts = [c.execution_count for c in notebook.cells if c.cell_type == "code"]
    assert counts == list(range(1, len(counts) + 1))


def test_the_file_holds_nothing_that_changes_from_run_to_run(notebook):
    before = nbformat.writes(notebook)
    assert nbformat.writes(tidy(notebook)) == before
    assert WIDGET not in before
    assert not re.search(r"0x[0-9a-f]{8,}", before)
    assert str(ROOT) not in before


def test_cells_are_named_and_short(notebook):
    ids = [cell.id for cell in notebook.cells]
    assert len(set(ids)) == len(ids)
    for cell in notebook.cells:
        assert re.fullmatch(r"[a-z][a-z0-9-]*", cell.id), cell.id
        if cell.cell_type == "code":
            assert len(cell.source.splitlines()) <= MOST_LINES, cell.id


def test_a_notebook_opens_with_one_import_line_and_a_lesson_shows_hardly_any_code(notebook):
    code = [c.source.splitlines() for c in notebook.cells if c.cell_type == "code"]
    assert code[0][0].startswith("from labkit import ")
    if any("here(" in line for lines in code for line in lines):
        assert all(len(lines) <= 2 for lines in code)
        assert not any("assert" in line or "import" in line for lines in code[1:] for line in lines)


def test_prose_is_no_wider_than_eighty_columns(notebook):
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            lines = (line for line in cell.source.split("\n") if not line.startswith(("|", "![")))
            assert max(map(len, lines)) <= 80, cell.id


def test_what_waits_behind_a_question_is_stored_under_a_name_that_nobody_shows(notebook):
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            if WORDS not in data:
                continue
            assert data[WORDS]["behind"].strip()
            assert "<img" not in data["text/html"]
            assert len(data["text/html"]) < 200


def test_no_cell_keeps_an_error_or_a_warning(notebook):
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            assert output.output_type != "error", cell.id
            assert output.get("name") != "stderr", cell.id


def test_a_picture_or_a_card_says_in_words_what_it_is(notebook):
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            assert not {"image/png", "image/svg+xml"} & set(data), cell.id  # these carry no alt
            html = data.get("text/html", "")
            alts = re.findall(r'<img alt="([^"]*)"', html)
            assert len(alts) == html.count("<img"), cell.id
            assert all(len(alt) > 20 for alt in alts), cell.id


def test_made_into_a_page_a_notebook_keeps_the_words_of_its_pictures(notebook):
    shown = sum(
        output.get("data", {}).get("text/html", "").count("<img ")
        for cell in notebook.cells
        for output in cell.get("outputs", [])
    ) + sum(cell.source.count("![") for cell in notebook.cells if cell.cell_type == "markdown")
    page, _ = HTMLExporter().from_notebook_node(notebook)
    alts = re.findall(r'<img alt="([^"]*)"', page)
    assert len(alts) == shown
    assert len(re.findall(r"<img\b", page)) == shown, "a picture without alt text"


def test_a_lesson_says_what_it_teaches_what_is_dangerous_and_what_comes_next(notebook):
    text = "\n".join(c.source for c in notebook.cells if c.cell_type == "markdown")
    assert "Run > Run All Cells" in text
    assert "invented" in text.lower()
    for words in ("able to", "autions", "no computer"):
        assert words in text, words
