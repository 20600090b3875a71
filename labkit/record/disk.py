"""What an attempt asks of the file system: a file of its own, a lock, whole lines, a copy."""

from __future__ import annotations

import os
import sys
from pathlib import Path

BINARY: int = getattr(os, "O_BINARY", 0)
_NEW = os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL | BINARY
_FAR = 0x7FFF0000  # a byte no attempt reaches, to lock where locks are of bytes


def create(path: Path) -> int:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle = os.open(path, _NEW, 0o600)
    locked(handle)
    return handle


def append(handle: int, line: bytes, forced: bool) -> None:
    """Write a line behind the others, whole or not at all."""
    end = os.fstat(handle).st_size
    try:
        written = 0
        while written < len(line):
            written += os.write(handle, line[written:])
        if forced:
            os.fsync(handle)
    except OSError:
        os.ftruncate(handle, end)
        raise


def copy_aside(path: Path) -> Path:
    """Keep a file as it is under the first free name beside it that is no attempt's."""
    data = path.read_bytes()
    for number in range(1, 1000):
        aside = path.with_name(f"{path.name}.damaged-{number}")
        try:
            handle = os.open(aside, _NEW, 0o600)
        except FileExistsError:
            continue
        try:
            append(handle, data, forced=True)
        except OSError:
            os.unlink(aside)
            raise
        finally:
            os.close(handle)
        return aside
    raise OSError(f"{path.name} has a thousand damaged copies")


def locked(handle: int) -> bool:
    """Take a file for this process; False where another has it. The lock ends with the process."""
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(handle, _FAR, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:  # a file system without locks
        return True
    return True
