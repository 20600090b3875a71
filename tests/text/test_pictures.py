import re

import nbformat
import pytest

from tests.boats import ROOT
from tests.pictures import FOLDER, MOST, SCREENS, charts, drawings

MADE = {*drawings(), *charts(), *SCREENS}
PAGES = [ROOT / "README.md", *sorted((ROOT / "notebooks").glob("*.ipynb"))]


def shown(page):
    """Alt text and path of each picture a page shows from a file."""
    text = page.read_text(encoding="utf-8")
    if page.suffix == ".ipynb":
        cells = nbformat.reads(text, as_version=4).cells
        text = "\n".join(cell.source for cell in cells if cell.cell_type == "markdown")
    assert "<img" not in text, "write a picture as ![what it shows](its file)"
    return re.findall(r"!\[([^\]]*)\]\(([^)]+)\)", text)


@pytest.mark.parametrize("name", sorted(drawings()))
def test_a_drawing_is_the_one_the_program_makes_now(name):
    made = drawings()[name]
    kept = (FOLDER / name).read_text(encoding="utf-8")
    assert kept == made, "run python -m tests.pictures"


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.stem)
def test_a_picture_a_page_shows_is_there_says_what_it_is_and_is_made_by_the_program(page):
    for alt, path in shown(page):
        assert len(alt) > 20
        file = (page.parent / path).resolve()
        assert file.parent == FOLDER
        assert file.name in MADE
        assert file.exists(), "run python -m tests.pictures"


def test_every_picture_kept_is_shown_somewhere_and_small():
    names = {path.rpartition("/")[2] for page in PAGES for _, path in shown(page)}
    assert {file.name for file in FOLDER.iterdir()} == names == MADE
    for file in FOLDER.iterdir():
        assert file.stat().st_size < MOST, file.name


def test_the_figures_in_the_readme_are_computed():
    from labkit.measuring.meter import read
    from tests.boats import shipped

    boat = shipped("washdown").with_fault("X1 resistance 1.6 ohm")
    assert {read(boat, p).display for p in ("X1:1", "X1:2")} == {"12.70 V"}
    assert read(boat.with_position(S2="on"), "X1:1", "X1:2").value > 5
