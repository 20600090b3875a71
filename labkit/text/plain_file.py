"""Reading a file that somebody else may have made: a plain one, and not more of it than is sane."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

from labkit.text.messages import CircuitError


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


def text_of(path: str | Path, most: int) -> str:
    """Read a text file.

    Raises
    ------
    CircuitError
        If it cannot be read, is larger than `most` bytes, or is not UTF-8.
    """
    try:
        data = bytes_of(path, most)
        if len(data) > most:
            raise CircuitError([f"{path}: is larger than {most // 1024} KiB; name a text file"])
        return data.decode("utf-8-sig")
    except OSError as error:
        raise CircuitError([f"{path}: {reason(error)}; name a text file"]) from None
    except UnicodeDecodeError:
        raise CircuitError([f"{path}: is not UTF-8 text; save it as UTF-8"]) from None
