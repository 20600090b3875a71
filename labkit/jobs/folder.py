"""The folder a notebook of jobs works in."""

from __future__ import annotations

import os
import tempfile


def work_in(folder: str = "") -> None:
    """Work in a folder, made where it is not there yet; '' is one that nobody keeps."""
    if not folder:
        os.chdir(tempfile.mkdtemp(prefix="labkit-"))
        return
    os.makedirs(folder, exist_ok=True)
    os.chdir(folder)
