"""Published tables beside this file: comma-separated, `#` lines say what and whose they are."""

from __future__ import annotations

import csv
from pathlib import Path

FOLDER = Path(__file__).with_name("tables")


def read(name: str) -> list[dict[str, str]]:
    """Read a table into one dict a row, column name to text."""
    lines = (FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
