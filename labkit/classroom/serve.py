"""JupyterLab as `labkit open` starts it: ``python -m labkit.classroom.serve`` and its options."""

from __future__ import annotations

import os
from pathlib import Path

CONFIG = Path(__file__).parent / "jupyter"
"""Turns off the server's extensions that a lesson does not need, which halves its start."""


def lean() -> None:
    """Spare what takes seconds to load and is not used; must come before JupyterLab is imported."""
    import labkit.classroom.without_grammar  # noqa: F401

    others = os.environ.get("JUPYTER_CONFIG_PATH", "")
    os.environ["JUPYTER_CONFIG_PATH"] = os.pathsep.join(filter(None, (others, str(CONFIG))))


def main() -> None:
    """Start JupyterLab, and end when it ends."""
    lean()
    from jupyterlab.labapp import main as lab

    lab()


if __name__ == "__main__":
    main()
