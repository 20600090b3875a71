"""Where commands print: a terminal, or the output of a notebook's cell, plain there."""

from __future__ import annotations

import sys

from rich.console import Console

_NOTEBOOK = "ipykernel" in sys.modules

out = (
    Console(highlight=False, force_jupyter=False, force_terminal=False, width=96)
    if _NOTEBOOK
    else Console(highlight=False)
)
"""For what was asked for."""

busy = Console(stderr=True, force_jupyter=False, force_terminal=False if _NOTEBOOK else None)
"""For progress, which nobody keeps."""
