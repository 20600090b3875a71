"""From a page's data to PDF, by Typst, without a network and with fonts that are always there."""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path
from typing import Literal

from labkit.handout.sheet import Sheet

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, str] = {"a4": "a4", "letter": "us-letter"}
"""Paper sizes: ISO 216 and North American, as Typst calls them."""


def typeset(sheet: Sheet, paper: Paper = "a4") -> bytes:
    """Set a page as PDF: black on white, the same bytes for the same sheet.

    Tagged by PDF/UA-1 (ISO 14289-1), so that a screen reader reads it too.

    Parameters
    ----------
    sheet : Sheet
    paper : str
        A key of PAPERS.
    """
    import matplotlib
    import typst

    layout = resources.files("labkit.handout") / "sheet.typ"
    words = {**sheet.words, "paper": PAPERS[paper]}
    files = {
        "main": layout.read_bytes(),
        "words.json": json.dumps(words, ensure_ascii=False).encode(),
        "drawing.svg": sheet.svg.encode(),
    }
    # DejaVu Sans comes with matplotlib; the drawing's text was laid out by its widths.
    fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    made: bytes = typst.compile(  # type: ignore[call-overload]  # its stubs leave out mappings
        files, format="pdf", font_paths=[str(fonts)], pdf_standards="ua-1"
    )
    return made
