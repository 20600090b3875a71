"""A folder and files that are this user's own: nothing else is ever read, written or moved.

In a folder that several people can write to, a file of the right name may be a link to somebody's
essay, a pipe that never ends, or another learner's attempt. So everything is opened without
following links, looked at through the handle it was opened by, and left alone, with a reason,
where it is not a plain file of one's own. Where a system lacks the means (no O_NOFOLLOW, no
user ids), names are looked at before and after instead.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from labkit.record.disk import BINARY, append, locked

_CLOSE: int = getattr(os, "O_CLOEXEC", 0)
_NO_LINK: int = getattr(os, "O_NOFOLLOW", 0)
_FOLDER = os.O_RDONLY | getattr(os, "O_DIRECTORY", 0) | _NO_LINK | _CLOSE
_OLD = os.O_RDWR | os.O_APPEND | _NO_LINK | getattr(os, "O_NONBLOCK", 0) | _CLOSE | BINARY
_NEW = os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL | _NO_LINK | _CLOSE | BINARY
_OTHERS_MAY_WRITE = 0o022
_BY_HANDLE = os.open in os.supports_dir_fd and os.rename in os.supports_dir_fd


def _me() -> int | None:
    return os.geteuid() if hasattr(os, "geteuid") else None


def own_path(folder: Path) -> Path:
    """Return the folder itself, or below one that is somebody else's, this user's part of it."""
    me = _me()
    try:
        folder = folder.resolve()  # what the user named may be a link; what lies in it may not
        owner = os.stat(folder).st_uid
    except OSError:
        return folder
    return folder if me is None or owner == me else folder / f"uid-{me}"


@dataclass(frozen=True)
class OwnFolder:
    """A folder of this user's own, open. Made by :func:`own_folder`.

    Attributes
    ----------
    path : Path
    handle : int, optional
        By which everything in it is reached, where the system can; names are used elsewhere.
    """

    path: Path
    handle: int | None

    def _at(self, name: str) -> tuple[str | Path, int | None]:
        return (self.path / name, None) if self.handle is None else (name, self.handle)

    def create(self, name: str) -> int:
        """Return the handle of a new file, locked. Raises OSError if there is one of the name."""
        where, folder = self._at(name)
        handle = os.open(where, _NEW, 0o600, dir_fd=folder)
        locked(handle)
        return handle

    def open(self, name: str) -> int:
        """Return the handle of a plain file of this user's own.

        Raises
        ------
        OSError
            If it is something else, with the reason.
        """
        where, folder = self._at(name)
        before = os.stat(where, dir_fd=folder, follow_symlinks=False)
        self._refuse(before)
        handle = os.open(where, _OLD, dir_fd=folder)
        try:
            opened = os.fstat(handle)
            self._refuse(opened)
            if (opened.st_ino, opened.st_dev) != (before.st_ino, before.st_dev):
                raise OSError(errno.ESTALE, "was changed meanwhile")
        except OSError:
            os.close(handle)
            raise
        return handle

    def set_aside(self, name: str) -> str:
        """Give a file the first free name beside it that is no attempt's; nothing is replaced."""
        where, folder = self._at(name)
        for number in range(1, 1000):
            aside = f"{name}.damaged-{number}"
            to, _ = self._at(aside)
            try:
                os.link(where, to, src_dir_fd=folder, dst_dir_fd=folder, follow_symlinks=False)
            except FileExistsError:
                continue
            except (OSError, NotImplementedError):  # a file system without second names
                with suppress(FileNotFoundError):
                    os.stat(to, dir_fd=folder, follow_symlinks=False)
                    continue
                os.rename(where, to, src_dir_fd=folder, dst_dir_fd=folder)
                return aside
            os.unlink(where, dir_fd=folder)
            return aside
        raise OSError(f"{name} has a thousand damaged copies")

    def renew(self, name: str, data: bytes) -> tuple[int, str]:
        """Set a file aside and put one that holds `data` in its place.

        Returns
        -------
        int and str
            The new file's handle, locked, and the name of the old one now.
        """
        beside = f".{name}.new"
        place, folder = self._at(beside)
        with suppress(FileNotFoundError):
            os.unlink(place, dir_fd=folder)
        handle = self.create(beside)
        try:
            append(handle, data, forced=True)
            aside = self.set_aside(name)
            os.rename(place, self._at(name)[0], src_dir_fd=folder, dst_dir_fd=folder)
        except OSError:
            os.close(handle)
            raise
        return handle, aside

    @staticmethod
    def _refuse(found: os.stat_result) -> None:
        why = (
            "is a link"
            if stat.S_ISLNK(found.st_mode)
            else "is not a plain file"
            if not stat.S_ISREG(found.st_mode)
            else "belongs to another user"
            if _me() not in (None, found.st_uid)
            else "has a second name"
            if found.st_nlink > 1
            else "can be written to by others"
            if _shared(found)
            else ""
        )
        if why:
            raise OSError(errno.EPERM, why)


@contextmanager
def own_folder(path: Path, make: bool = False) -> Iterator[OwnFolder]:
    """Open a folder of this user's own.

    Parameters
    ----------
    path : Path
        As :func:`own_path` has it.
    make : bool
        Whether to make it where it is not there yet.

    Raises
    ------
    OSError
        If it is a link, no folder, or somebody else's.
    """
    if make:
        path.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not _BY_HANDLE:
        if not path.is_dir():
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))
        yield OwnFolder(path, None)
        return
    handle = os.open(path, _FOLDER)
    try:
        found = os.fstat(handle)
        if found.st_uid != _me():
            raise OSError(errno.EPERM, "the folder belongs to another user")
        if _shared(found):
            os.fchmod(handle, stat.S_IMODE(found.st_mode) & ~_OTHERS_MAY_WRITE)
        yield OwnFolder(path, handle)
    finally:
        os.close(handle)


def _shared(found: os.stat_result) -> bool:
    """Tell whether others may write there; systems without user ids do not say."""
    return _me() is not None and bool(found.st_mode & _OTHERS_MAY_WRITE)
