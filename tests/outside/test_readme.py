"""The table in the README is the one that labkit fills now."""

from pathlib import Path

from .table import lines


def test_the_readme_shows_the_present_table() -> None:
    readme = Path(__file__).parents[1].joinpath("README.md").read_text(encoding="utf-8")
    assert "\n".join(lines(live=False)) in readme, "paste the table printed by tests.outside.table"
