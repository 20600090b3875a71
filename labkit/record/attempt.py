"""An attempt open for writing: begun, resumed, closed."""

from __future__ import annotations

import os
import re
import secrets
import sys
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from weakref import WeakValueDictionary

from labkit.record.disk import BINARY, append, copy_aside, create, locked
from labkit.record.lines import SCHEMA, SUFFIX, Record, encode, read_record
from labkit.text.messages import CircuitError
from labkit.text.plain_file import reason

VARIABLE = "LABKIT_RECORDS"
"""Environment variable that names another folder for attempts."""

FORCED = ("named", "proof", "answer", "finished")
"""Kinds of line that are forced to the disk."""

Tell = Callable[[str], object]


def records_folder() -> Path:
    """Where this user's attempts live: what LABKIT_RECORDS says, or else the user's data folder."""
    named = os.environ.get(VARIABLE, "")
    if named:
        return Path(named).expanduser()
    import platformdirs

    return Path(platformdirs.user_data_dir("labkit", appauthor=False)) / "attempts"


def user() -> str:
    """Return the name attempts are kept under: the hub's user, or else the system's."""
    import getpass

    try:
        return os.environ.get("JUPYTERHUB_USER") or getpass.getuser()
    except (OSError, KeyError, ImportError):  # nobody has a name here
        return "learner"


def file_word(text: str) -> str:
    """Return a text as part of a file's name: its letters and figures, joined by hyphens."""
    words = re.findall(r"[^\W_]+", unicodedata.normalize("NFC", text).casefold())
    return "-".join(words)[:60] or "unnamed"


_OPEN: WeakValueDictionary[Path, Attempt] = WeakValueDictionary()


def say(text: str) -> None:
    """Tell a person, beside what a program prints."""
    sys.stderr.write(f"{text}\n")


@dataclass(eq=False)
class Attempt:
    """One attempt, open for writing.

    Made by :func:`begin` or :func:`resume`.

    Attributes
    ----------
    path : Path
    tell : callable
        Takes a sentence where something cannot be kept; once for each trouble.
    trouble : str
        Why lines are waiting in memory, or ''.
    """

    path: Path
    tell: Tell = say
    trouble: str = ""
    _next: int = 0
    _waiting: list[tuple[bytes, bool]] = field(default_factory=list)
    _handle: int | None = None
    _gone: bool = False

    def __repr__(self) -> str:
        return f"<Attempt {self.path.name}: {self._next} lines>"

    def add(self, kind: str, **facts: Any) -> None:
        """Write a line; where that fails, keep it and try again with the next."""
        self._wait(kind, facts)
        self._flush()

    def _wait(self, kind: str, facts: Mapping[str, Any]) -> None:
        self._waiting.append((encode(self._next, kind, facts), kind in FORCED))
        self._next += 1

    def close(self) -> None:
        """Write what waits, if anything was done, and let go of the file."""
        if self._waiting and self._next > 1:
            self._flush()
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None
        self._gone = True

    def __del__(self) -> None:
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None

    def _flush(self) -> None:
        if self._gone:
            self._warn("is closed, or went on elsewhere; what is done here is not kept")
            return
        try:
            if self._handle is None:
                self._handle = create(self.path)
            while self._waiting:
                line, forced = self._waiting[0]
                append(self._handle, line, forced)
                self._waiting.pop(0)
        except OSError as error:
            self._warn(f"cannot be written, {reason(error)}; practice goes on, unsaved so far")
        else:
            self.trouble = ""

    def _warn(self, what: str) -> None:
        if not self.trouble:
            self.tell(f"{self.path}: {what}")
        self.trouble = what


def begin(title: str, learner: str = "", folder: Path | None = None, tell: Tell = say) -> Attempt:
    """Begin an attempt in a file of its own, which is there from the first line added on.

    Parameters
    ----------
    title : str
        Of the exercise or lesson.
    learner : str
        :func:`user` where not said.
    folder : Path, optional
        :func:`records_folder` where not said.
    """
    learner = learner or user()
    now = datetime.now(UTC)
    stem = f"{_stem(title, learner)}-{now:%Y%m%dt%H%M%S%f}-{secrets.token_hex(4)}"
    attempt = Attempt((folder or records_folder()) / f"{stem}{SUFFIX}", tell)
    _OPEN[attempt.path] = attempt
    started = now.isoformat(timespec="seconds")
    attempt._wait(
        "attempt", {"schema": SCHEMA, "title": title, "learner": learner, "started": started}
    )
    return attempt


def unfinished(title: str, learner: str = "", folder: Path | None = None) -> list[Path]:
    """Return the files of attempts not brought to their end, the latest first."""
    stem = _stem(title, learner or user())
    try:
        files = sorted((folder or records_folder()).glob(f"{stem}-*{SUFFIX}"), reverse=True)
    except OSError:
        return []
    return [path for path in files if _goes_on(path, title, learner or user())]


def resume(path: Path, tell: Tell = say) -> tuple[Attempt, Record] | None:
    """Open an attempt again, to go on with it.

    A damaged file is set aside under another name, and what is whole of it goes on.

    Returns
    -------
    Attempt and Record, or None
        None where there is nothing to go on with: another program holds it, or no line is whole.

    Raises
    ------
    CircuitError
        If it cannot be read, or was written by a later version.
    """
    former = _OPEN.pop(path, None)
    if former is not None:
        former.close()
    attempt = Attempt(path, tell)
    record = read_record(path)
    try:
        attempt._handle = os.open(path, os.O_RDWR | os.O_APPEND | BINARY)
        if not locked(attempt._handle):
            attempt.close()
            tell(f"{path}: is open in another window; a new attempt is begun")
            return None
        record = read_record(path)  # again, now that nobody else writes
        if record.damage:
            rest = f", and it goes on with {record.count}" if record.head else ""
            aside = copy_aside(path)
            os.ftruncate(attempt._handle, record.size)
            tell(f"{path}: {record.damage}; it is kept as {aside.name}{rest}")
    except OSError as error:
        attempt.close()
        tell(f"{path}: cannot be gone on with, {reason(error)}; a new attempt is begun")
        return None
    if not record.head:
        attempt.close()
        path.unlink(missing_ok=True)  # nothing is left in it
        return None
    attempt._next = len(record.lines) + 1
    _OPEN[path] = attempt
    return attempt, record


def _stem(title: str, learner: str) -> str:
    return f"{file_word(title)}--{file_word(learner)}-"


def _goes_on(path: Path, title: str, learner: str) -> bool:
    """Tell whether a file is this learner's and not at its end; one without a head may be."""
    try:
        record = read_record(path)
    except CircuitError:
        return False
    if not record.head:
        return True
    whose = record.head.get("title"), record.head.get("learner")
    return whose == (title, learner) and not record.finished
