"""An attempt open for writing: begun, resumed, closed."""

from __future__ import annotations

import os
import re
import secrets
import sys
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from weakref import ReferenceType, WeakValueDictionary, ref

from labkit.record.disk import append, contents, locked
from labkit.record.lines import LARGEST_FILE, SCHEMA, SUFFIX, Record, encode, parse
from labkit.record.own import own_folder, own_path
from labkit.text.messages import CircuitError
from labkit.text.plain_file import reason

VARIABLE = "LABKIT_RECORDS"
"""Environment variable that names another folder for attempts."""

PROGRAM = "0.2.0"
"""The version that writes, since verdicts are worded differently from one to the next."""

FORCED = ("named", "proof", "answer", "finished", "owned", "hint")
"""Kinds of line that are forced to the disk."""

LONGEST_WORD = 90
"""Of a title or a name in a file's name, so that the whole stays below 255. [bytes]"""

HELD = 16
"""Attempts whose files one program keeps open; one not written to for longest lets go first."""

Tell = Callable[[str], object]


def records_folder() -> Path:
    """Where this user's attempts live: what LABKIT_RECORDS says, or else the user's data folder.

    Raises
    ------
    CircuitError
        If LABKIT_RECORDS names a home that is not there.
    """
    named = os.environ.get(VARIABLE, "")
    if named:
        try:
            return Path(named).expanduser()
        except RuntimeError:
            raise CircuitError(
                [f"{VARIABLE} is '{named}', and there is no such home; name a folder of yours"]
            ) from None
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
    word = "-".join(words)[:60].encode()[:LONGEST_WORD]
    return word.decode(errors="ignore") or "unnamed"


_OPEN: WeakValueDictionary[Path, Attempt] = WeakValueDictionary()
_HELD: list[ReferenceType[Attempt]] = []


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
    careful : bool
        Force every line to the disk, and not those alone that matter for marks.
    """

    path: Path
    tell: Tell = say
    trouble: str = ""
    careful: bool = False
    _next: int = 0
    _size: int = 0
    _waiting: list[tuple[bytes, bool]] = field(default_factory=list)
    _handle: int | None = None
    _gone: bool = False
    _begun: datetime | None = None

    def __repr__(self) -> str:
        return f"<Attempt {self.path.name}: {self._next} lines>"

    def add(self, kind: str, **facts: Any) -> None:
        """Write a line, with the seconds since the attempt was begun.

        Where that fails, keep it and try again with the next.
        """
        since = datetime.now(UTC) - self._begun if self._begun else None
        at = {} if since is None else {"seconds": round(since.total_seconds(), 1)}
        self._wait(kind, {**facts, **at})
        self._flush()

    def _wait(self, kind: str, facts: Mapping[str, Any]) -> None:
        forced = self.careful or kind in FORCED
        self._waiting.append((encode(self._next, kind, facts), forced))
        self._next += 1

    def save(self) -> None:
        """Try again to write what waits."""
        if self._waiting:
            self._flush()

    def close(self) -> None:
        """Write what waits, if anything was done, and let go of the file."""
        if self._waiting and self._next > 1:
            self._flush()
        self._let_go()
        self._gone = True

    def _let_go(self) -> None:
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None

    def __del__(self) -> None:
        self._let_go()

    def _flush(self) -> None:
        try:
            if self._gone or not self._opened():
                self._gone = True
                self._warn("is closed, or went on elsewhere; what is done here is not kept")
                return
            while self._waiting:
                line, forced = self._waiting[0]
                assert self._handle is not None
                append(self._handle, line, forced)
                self._size += len(line)
                self._waiting.pop(0)
        except OSError as error:
            self._warn(f"cannot be written, {reason(error)}; practice goes on, unsaved so far")
        else:
            self.trouble = ""

    def _opened(self) -> bool:
        """Have the file open; False where somebody else has continued it since."""
        if self._handle is None:
            with own_folder(self.path.parent, make=not self._size) as folder:
                if not self._size:
                    self._handle = folder.create(self.path.name)
                else:
                    self._handle = folder.open(self.path.name)
                    if not locked(self._handle) or os.fstat(self._handle).st_size != self._size:
                        self._let_go()
                        return False
        _hold(self)
        return True

    def _take_up(self) -> Record | None:
        """Open this user's own file under the path and read it; None where nothing goes on."""
        name = self.path.name
        with own_folder(self.path.parent) as folder:
            self._handle = folder.open(name)
            if not locked(self._handle):
                self.tell(f"{self.path}: is open in another window; starting a new attempt")
                return None
            record = _read(self.path, self._handle)
            if not record.head:
                aside = folder.set_aside(name)
                self.tell(f"{self.path}: {record.damage}; it is kept as {aside}")
            elif record.damage:
                whole = contents(self._handle, record.size)
                self._let_go()
                self._handle, aside = folder.renew(name, whole)
                self.tell(
                    f"{self.path}: {record.damage}; it is kept as {aside}, and it goes on with "
                    f"{record.count}"
                )
        self._next, self._size = len(record.lines) + 1, record.size
        self._begun = _when(record.head.get("started"))
        _hold(self)
        return record if record.head else None

    def _warn(self, what: str) -> None:
        if not self.trouble:
            self.tell(f"{self.path}: {what}")
        self.trouble = what


def _hold(attempt: Attempt) -> None:
    """Count an attempt among those whose files are open, and let the longest idle one go."""
    others = [held for held in _HELD if held() not in (None, attempt)]
    _HELD[:] = [*others, ref(attempt)]
    while len(_HELD) > HELD:
        idle = _HELD.pop(0)()
        if idle is not None:
            idle._let_go()


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
    home = own_path(folder or records_folder())
    now = datetime.now(UTC)
    stem = _stem(title, learner)
    latest = max((begun_at(path) for path in _files(home, stem)), default=now)
    # A clock that was put back must not put this attempt before the former one.
    at = max(now, latest + timedelta(microseconds=1))
    attempt = Attempt(home / file_name(title, learner, at), tell)
    _OPEN[attempt.path] = attempt
    attempt._begun = now
    attempt._wait("attempt", head(title, learner, now))
    return attempt


def file_name(title: str, learner: str, at: datetime) -> str:
    """Return a name for the file of an attempt begun then, which no other file has."""
    return f"{_stem(title, learner)}-{at:{_STAMP}}-{secrets.token_hex(4)}{SUFFIX}"


def head(title: str, learner: str, now: datetime, program: str = PROGRAM) -> dict[str, Any]:
    """Return what the first line of an attempt says."""
    started = now.isoformat(timespec="seconds")
    return {
        "schema": SCHEMA,
        "program": program,
        "title": title,
        "learner": learner,
        "started": started,
    }


def unfinished(
    title: str, learner: str = "", folder: Path | None = None, tell: Tell = say
) -> list[Path]:
    """Return the files of attempts not brought to their end, the latest first.

    What bears such a name and is not a plain file of this user's own is left alone, and said.
    """
    return _found(title, learner, folder, tell, finished=False)


def attempts(
    title: str, learner: str = "", folder: Path | None = None, tell: Tell = say
) -> list[Path]:
    """Return the files of all attempts as :func:`unfinished` does, those at their end too."""
    return _found(title, learner, folder, tell, finished=True)


def _found(title: str, learner: str, folder: Path | None, tell: Tell, finished: bool) -> list[Path]:
    learner = learner or user()
    home = own_path(folder or records_folder())
    found = []
    for path in sorted(_files(home, _stem(title, learner)), reverse=True):
        try:
            record = _own_record(path)
        except (OSError, CircuitError) as error:
            why = reason(error) if isinstance(error, OSError) else ""
            if why:
                tell(f"{path}: {why}; it is left alone")
            continue
        whose = record.head.get("title"), record.head.get("learner")
        ended = record.finished and not finished
        if not record.head or (whose == (title, learner) and not ended):
            found.append(path)
    return found


def resume(path: Path, tell: Tell = say) -> tuple[Attempt, Record] | None:
    """Open an attempt again, to go on with it.

    A damaged file is set aside under another name, and what is whole of it goes on in a new one.

    Returns
    -------
    Attempt and Record, or None
        None where there is nothing to go on with: another program holds it, it is not this user's
        own, or no line is whole.

    Raises
    ------
    CircuitError
        If it was written by a later version.
    """
    former = _OPEN.pop(path, None)
    if former is not None:
        former.close()
    attempt = Attempt(path, tell)
    try:
        record = attempt._take_up()
    except OSError as error:
        attempt.close()
        tell(f"{path}: cannot be reopened, {reason(error)}; starting a new attempt")
        return None
    if record is None:
        attempt.close()
        return None
    _OPEN[path] = attempt
    return attempt, record


_STAMP = "%Y%m%dt%H%M%S%f"
_STAMPED = re.compile(r"-(\d{8}t\d{12})-[0-9a-f]{8}" + re.escape(SUFFIX))


def _stem(title: str, learner: str) -> str:
    return f"{file_word(title)}--{file_word(learner)}"


def _files(home: Path, stem: str) -> list[Path]:
    try:
        return list(home.glob(f"{stem}-*{SUFFIX}"))
    except OSError:
        return []


def begun_at(path: Path) -> datetime:
    """When an attempt's file says it was begun."""
    found = _STAMPED.search(path.name)
    try:
        at = datetime.strptime(found[1], _STAMP) if found else datetime.min
    except ValueError:
        at = datetime.min
    return (at if at.year < datetime.max.year else datetime.min).replace(tzinfo=UTC)


def _when(text: object) -> datetime | None:
    try:
        at = datetime.fromisoformat(str(text))
    except ValueError:
        return None
    return at if at.tzinfo else None


def _own_record(path: Path) -> Record:
    with own_folder(path.parent) as folder:
        handle = folder.open(path.name)
        try:
            return _read(path, handle)
        finally:
            os.close(handle)


def _read(path: Path, handle: int) -> Record:
    data = contents(handle, LARGEST_FILE + 1)
    if len(data) > LARGEST_FILE:
        raise CircuitError([f"{path}: is too large for an attempt; move it away"])
    return parse(path, data)
