"""Files a command writes: nothing is replaced unasked, nothing is left half written."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from labkit.text.messages import CircuitError
from labkit.text.plain_file import is_there, reason


def refuse_existing(paths: Iterable[Path], overwrite: bool) -> None:
    """Refuse files that are there already, unless they may be replaced.

    Raises
    ------
    CircuitError
        A sentence for each.
    """
    there = [path for path in paths if is_there(path) and not overwrite]
    if there:
        raise CircuitError(
            [f"{path}: is already there; name another file, or say --overwrite" for path in there]
        )


def write(path: Path, content: str | bytes) -> None:
    """Write a file whole or not at all, and the folders it needs.

    It is on the disk before it takes the place of what was there, so that a crash or a flat battery
    leaves the one or the other.

    Raises
    ------
    CircuitError
        If it cannot be written.
    """
    data = content.encode() if isinstance(content, str) else content
    beside = path.with_name(f".{path.name}.{os.urandom(4).hex()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with open(beside, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            os.replace(beside, path)
            _settle(path.parent)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        raise CircuitError(
            [f"{path}: cannot be written, {reason(error)}; name another place"]
        ) from None


def _settle(folder: Path) -> None:
    """Have the folder's new entry on the disk too, where the system lets one ask for it."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError:  # some network drives know no such thing
        pass
    finally:
        os.close(handle)
