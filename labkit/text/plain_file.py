"""Reading a file that somebody else may have made: a plain one, and not more of it than is sane."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path


def bytes_of(path: str | Path, most: int) -> bytes:
    """Read a file, and one byte beyond `most` where it is larger.

    Raises
    ------
    OSError
        If it cannot be read, or is a pipe or a device, which might never come to an end.
    """
    try:
        mode = os.stat(path).st_mode
    except ValueError:  # a name no file can have
        raise OSError(errno.ENOENT, os.strerror(errno.ENOENT)) from None
    if stat.S_ISDIR(mode):
        raise OSError(errno.EISDIR, os.strerror(errno.EISDIR))
    if not stat.S_ISREG(mode):
        raise OSError(errno.EINVAL, "is a pipe or a device")
    with open(path, "rb") as file:
        return file.read(most + 1)


def is_there(path: Path) -> bool:
    """Tell whether there is something of this name; of a name no file can have, there is not."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def reason(error: OSError) -> str:
    """Why the system refused, to stand inside a sentence."""
    return (error.strerror or str(error) or "cannot be read").lower()
