import re

import pytest

from tests.boats import ROOT
from tests.pictures import FOLDER, charts, drawings


@pytest.mark.parametrize("name", sorted(drawings()))
def test_a_drawing_is_the_one_the_program_makes_now(name):
    made = drawings()[name]
    kept = (FOLDER / name).read_text(encoding="utf-8")
    assert kept == made, "run python -m tests.pictures"


def test_the_charts_are_there():
    assert {f.name for f in FOLDER.glob("*.png")} >= set(charts())


def test_every_picture_the_readme_shows_is_there_and_says_what_it_is():
    shown = re.findall(
        r"!\[([^\]]*)\]\(([^)]+)\)", (ROOT / "README.md").read_text(encoding="utf-8")
    )
    assert shown
    for alt, path in shown:
        assert len(alt) > 20
        assert (ROOT / path).exists()


def test_the_figures_in_the_readme_are_computed():
    from labkit.meter import read
    from tests.boats import shipped

    boat = shipped("washdown").with_fault("X1 resistance 1.6 ohm")
    assert {read(boat, p).display for p in ("X1:1", "X1:2")} == {"12.70 V"}
    assert read(boat.with_position(S2="on"), "X1:1", "X1:2").value > 5
