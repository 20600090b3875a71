"""Where commands print: a terminal, or the output of a notebook's cell, plain there."""

from __future__ import annotations

import io
import sys
from typing import Any

from rich.console import Console

_NOTEBOOK = "ipykernel" in sys.modules

PLAIN: dict[str, Any] = {"highlight": False, "markup": False, "emoji": False}
"""A title such as "[/b] :boom:" is printed as it is."""

out = (
    Console(**PLAIN, force_jupyter=False, force_terminal=False, width=96)
    if _NOTEBOOK
    else Console(**PLAIN)
)
"""For what was asked for."""

busy = Console(
    **PLAIN, stderr=True, force_jupyter=False, force_terminal=False if _NOTEBOOK else None
)
"""For progress, which nobody keeps."""


def forgive() -> None:
    """Let a terminal of few letters print a question mark for what it lacks, such as Ω."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
