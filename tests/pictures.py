"""Make the pictures that README.md and the notebooks show: ``python -m tests.pictures``."""

from __future__ import annotations

from labkit.charts import staircase
from labkit.drawing import draw
from tests.boats import ROOT, shipped

FOLDER = ROOT / "notebooks" / "pictures"


def drawings() -> dict[str, str]:
    """File name to SVG: the drawings, which come out the same everywhere."""
    return {"washdown.svg": draw(shipped("washdown")).svg}


def charts() -> dict[str, bytes]:
    """File name to PNG: the charts, whose pixels depend on the fonts of the day."""
    healthy = shipped("washdown")
    corroded = healthy.with_fault("X1 resistance 1.6 ohm")
    cases = {
        "healthy, pump off": healthy,
        "healthy, pump running": healthy.with_position(S2="on"),
        "corroded splice, pump off": corroded,
        "corroded splice, pump running": corroded.with_position(S2="on"),
    }
    return {"staircase.png": staircase(cases, "M1").png}


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, svg in drawings().items():
        (FOLDER / name).write_text(svg, encoding="utf-8", newline="\n")
    for name, png in charts().items():
        (FOLDER / name).write_bytes(png)


if __name__ == "__main__":
    main()
