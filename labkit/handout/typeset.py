"""From a page's data to PDF, by Typst, without a network and with fonts that are always there."""

from __future__ import annotations

import json
import unicodedata
from importlib import resources
from pathlib import Path
from typing import Any, Literal

from labkit.handout.sheet import Sheet
from labkit.text.messages import CircuitError

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, str] = {"a4": "a4", "letter": "us-letter"}
"""Paper sizes: ISO 216 and North American, as Typst calls them."""


def typeset(sheet: Sheet, paper: Paper = "a4", layout: str = "sheet.typ") -> bytes:
    """Set a page as PDF: black on white, the same bytes for the same sheet.

    Tagged by PDF/UA-1 (ISO 14289-1), so that a screen reader reads it too.

    Parameters
    ----------
    sheet : Sheet
    paper : str
        A key of PAPERS.
    layout : str
        Which layout here says how it looks.

    Raises
    ------
    CircuitError
        If something in it cannot be printed.
    """
    import matplotlib
    import typst

    words = printed({**sheet.words, "paper": PAPERS[paper]})
    files = {
        "main": (resources.files("labkit.handout") / layout).read_bytes(),
        "words.json": json.dumps(words, ensure_ascii=False).encode(),
        **{name: printed(svg).encode() for name, svg in sheet.files.items()},
    }
    # DejaVu Sans comes with matplotlib; the drawing's text was laid out by its widths.
    fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    try:
        made: bytes = typst.compile(  # type: ignore[call-overload]  # its stubs leave out mappings
            files, format="pdf", font_paths=[str(fonts)], pdf_standards="ua-1"
        )
    except typst.TypstError as error:
        raise CircuitError([f"the page cannot be printed: {error}"]) from None
    return made


def printed(words: Any) -> Any:
    """Return words, or plain data that holds words, without marks that no printed font joins.

    An accent that makes one letter with the one before it stays; stacked ones, joiners and what
    chooses a picture for a sign are left out.
    """
    if isinstance(words, str):
        composed = unicodedata.normalize("NFC", words)
        return "".join(c for c in composed if unicodedata.category(c) not in ("Mn", "Me", "Cf"))
    if isinstance(words, list | tuple):
        return [printed(item) for item in words]
    if isinstance(words, dict):
        return {key: printed(item) for key, item in words.items()}
    return words
