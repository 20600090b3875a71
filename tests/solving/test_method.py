"""The figures of METHOD.md are those that its script computes, and say what the page says."""

import re
from pathlib import Path

import pytest

from .methods import FIGURE, METHODS, errors

PAGE = Path(__file__).with_name("METHOD.md").read_text(encoding="utf-8")
USUAL = [name for name in METHODS if name != "star-mesh"]


def printed() -> dict[str, dict[str, float]]:
    rows = [line.strip("| ").split(" | ") for line in PAGE.splitlines() if line.startswith("| ")]
    assert rows[0][1:] == list(METHODS)
    return {row[0]: dict(zip(METHODS, map(float, row[1:]), strict=True)) for row in rows[1:]}


@pytest.fixture(scope="module")
def found() -> dict[str, dict[str, float]]:
    return errors()


def test_the_page_prints_what_is_computed(found) -> None:
    """Rounding differs from machine to machine: to a factor of a hundred, or both below 1e-12 V."""
    assert list(printed()) == list(found)
    for case, row in printed().items():
        for method, said in row.items():
            here = found[case][method]
            assert max(said, here) < 1e-12 or 0.01 < said / here < 100, (case, method, here)


def test_the_usual_ways_are_right_under_load_and_wrong_on_islands(found) -> None:
    loaded, *islands = found.values()
    assert max(loaded.values()) < 1e-12
    for row in islands:
        assert min(row[method] for method in USUAL) > 1e-7
        assert max(row[method] for method in USUAL) > 1e-4


def test_star_mesh_is_right_everywhere(found) -> None:
    assert max(row["star-mesh"] for row in found.values()) < 1e-12


def test_the_figure_shows_the_numbers_of_the_page() -> None:
    drawn = re.search(r"<desc>(.*)</desc>", FIGURE.read_text(encoding="utf-8"))
    assert drawn is not None
    for case, row in printed().items():
        said = ", ".join(f"{name} {error:.0e} V" for name, error in row.items())
        assert f"{case}: {said}" in drawn[1]
