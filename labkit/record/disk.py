"""What an attempt asks of an open file: a lock, whole lines behind the others, its contents."""

from __future__ import annotations

import os
import sys

BINARY: int = getattr(os, "O_BINARY", 0)
_FAR = 0x7FFF0000  # a byte no attempt reaches, to lock where locks are of bytes


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


def contents(handle: int, most: int) -> bytes:
    """Return what an open file holds from its beginning on, at most so many bytes."""
    os.lseek(handle, 0, os.SEEK_SET)
    data = b""
    while len(data) < most and (more := os.read(handle, most - len(data))):
        data += more
    return data


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
