"""The folders of a class on one machine: the hub's own, the records, and homes in a trial.

What a learner can write to is never touched as somebody else: each record folder lies in one that
only the hub's account can write to, so nothing can be planted in its place, and the course is laid
by the learner's own account (:mod:`labkit.classroom.enter`).
"""

from __future__ import annotations

import os
import secrets
import stat
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from labkit.text.messages import CircuitError
from labkit.text.plain_file import reason

RECORDS = "LABKIT_RECORDS"
"""Environment variable by which a learner's server is told where attempts are kept."""


@dataclass(frozen=True)
class Folders:
    """Where a class's things lie.

    Attributes
    ----------
    root : Path
    own_accounts : bool
        Each learner has an account of this machine; else all share the one that starts the hub.
    """

    root: Path
    own_accounts: bool

    @property
    def hub(self) -> Path:
        """The hub's database, secrets and configuration: nobody else's to read."""
        return self.root / "hub"

    @property
    def records(self) -> Path:
        """Attempts, a folder for each learner."""
        return self.root / "records"

    @property
    def homes(self) -> Path:
        """Homes of learners without an account."""
        return self.root / "homes"

    @property
    def password(self) -> str:
        """The one password of a trial, chosen when it is first asked for."""
        file = self.hub / "password"
        if not file.exists():
            handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as new:
                new.write(secrets.token_hex(5) + "\n")
        return file.read_text("utf-8").strip()

    def make(self) -> None:
        """Make what is not there yet.

        Raises
        ------
        CircuitError
            If it cannot be made, or somebody else could change what lies in it.
        """
        through = 0o711 if self.own_accounts else 0o700  # learners pass to their records
        wanted = {self.root: through, self.hub: 0o700, self.records: through}
        if not self.own_accounts:
            wanted[self.homes] = 0o700
        for folder, mode in wanted.items():
            try:
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
                found = folder.lstat()
                if not stat.S_ISDIR(found.st_mode) or found.st_uid != os.geteuid():
                    raise OSError("is not a folder of your own")
                folder.chmod(mode)
            except OSError as error:
                raise CircuitError(
                    [f"{folder}: {reason(error)}; name another folder for the class"]
                ) from None

    def records_of(self, learner: str) -> Path:
        """Return a learner's folder of attempts, made where it is not there yet.

        Raises
        ------
        PermissionError
            If what is there is not this learner's alone.
        """
        account, group = os.geteuid(), os.getegid()
        if self.own_accounts:
            import pwd

            known = pwd.getpwnam(learner)
            account, group = known.pw_uid, known.pw_gid
        folder = self.records / learner
        try:
            folder.mkdir(mode=0o700)
            os.chown(folder, account, group)
        except FileExistsError:
            found = folder.lstat()
            alone = stat.S_ISDIR(found.st_mode) and not found.st_mode & 0o077
            if not alone or found.st_uid != account:
                raise PermissionError(f"{folder}: is not {learner}'s own folder, 0700") from None
        return folder

    def tell_records(self, spawner: Any) -> None:
        """Tell a server about to start where its learner's attempts are kept."""
        where = str(self.records_of(spawner.user.name))
        spawner.environment = {**spawner.environment, RECORDS: where}
