"""What a class's hub is to be, looked over before it starts: one sentence for what would fail."""

from __future__ import annotations

import importlib.util
import ipaddress
import os
import re
import socket
import stat
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import labkit
from labkit.classroom.folders import Folders
from labkit.text.messages import CircuitError

_TEMPLATE = Path(__file__).parent / "hub_config.py"
_PROXY = "configurable-http-proxy"
_LOGIN = re.compile(r"[a-z][a-z0-9._-]{0,31}")


@dataclass(frozen=True)
class Plan:
    """A class on one machine.

    Attributes
    ----------
    names : tuple of str
        Login names.
    folder : Path
        Where records and the hub's own files lie.
    own_accounts : bool
        Each learner's server runs under an account of theirs; else under the one that starts it.
    shared_password : bool
        One password for all, which is good for a trial and nothing else.
    ip : str
        Address to listen at.
    port : int
        And the three behind it, which nobody outside reaches.
    certificate, key : str
        Files for TLS, or ''.
    hunts : str
        'lessons' or 'all': which hunts are laid into each home.
    exam : str
        A folder of dealt files that a referee holds, or ''.
    """

    names: tuple[str, ...]
    folder: Path
    own_accounts: bool
    shared_password: bool = False
    ip: str = "127.0.0.1"
    port: int = 8000
    certificate: str = ""
    key: str = ""
    hunts: str = "lessons"
    exam: str = ""

    @property
    def folders(self) -> Folders:
        """Where the class's things lie."""
        return Folders(self.folder.resolve(), self.own_accounts)

    @property
    def url(self) -> str:
        """Where a browser finds it."""
        host = f"[{self.ip}]" if ":" in self.ip else self.ip
        return f"http{'s' if self.certificate else ''}://{host}:{self.port}"

    @property
    def configuration(self) -> str:
        """The file JupyterHub reads, with this class filled in."""
        filled = {
            "NAMES: list[str]": list(self.names),
            "FOLDER": str(self.folder.resolve()),
            "OWN_ACCOUNTS": self.own_accounts,
            "SHARED_PASSWORD": self.shared_password,
            "IP": self.ip,
            "PORT": self.port,
            "CERTIFICATE": self.certificate,
            "KEY": self.key,
            "LAID": self.hunts,
            "EXAM": self.exam and str(Path(self.exam).resolve()),
        }
        text = _TEMPLATE.read_text("utf-8")
        for name, value in filled.items():
            line = re.compile(rf"^{re.escape(name)} = [^#\n]*?(?=  #|$)", re.MULTILINE)
            text, times = line.subn(lambda _, n=name, v=value: f"{n} = {v!r}", text)  # type: ignore[misc]
            assert times == 1, name
        return text

    def check(self) -> None:
        """See that it can start.

        Raises
        ------
        CircuitError
            A sentence for each thing that is wrong or missing.
        """
        problems = [*missing(bool(self.certificate)), *self._names(), *self._network()]
        problems += self._examined() if self.exam else []
        if self.own_accounts:
            problems += self._accounts()
        elif is_root():
            problems.append("as root every learner needs an account of this machine")
        elif not self.shared_password:
            problems.append("only root can check the passwords of accounts; start as root")
        if problems:
            raise CircuitError(problems)

    def _names(self) -> list[str]:
        return [
            f"{name}: is not a login name; write small letters a to z, figures, '.', '-' and '_', "
            "such as ana-lopez"
            for name in self.names
            if not _LOGIN.fullmatch(name)
        ]

    def _network(self) -> list[str]:
        try:
            loopback = ipaddress.ip_address(self.ip).is_loopback
        except ValueError:
            return [f"--ip {self.ip}: write an address of this machine, such as 192.168.1.10"]
        files = [name for name in (self.certificate, self.key) if name]
        problems = [f"{name}: no such file" for name in files if not Path(name).is_file()]
        if len(files) == 1:
            problems.append("--certificate and --key go together; give both")
        if not loopback and not files:
            problems.append(
                f"--ip {self.ip}: passwords would cross the network in clear; give --certificate "
                "and --key, or leave --ip out and put a web server that speaks TLS before "
                f"http://127.0.0.1:{self.port}"
            )
        if not 0 < self.port < 65533:
            return [*problems, f"--port {self.port}: choose one from 1024 to 65532"]
        problems += _taken(self.ip, self.port)
        for port in range(self.port + 1, self.port + (4 if self.exam else 3)):
            problems += _taken("127.0.0.1", port)
        return problems

    def _examined(self) -> list[str]:
        """What would let a learner read the exam."""
        folder = Path(self.exam)
        if not folder.is_dir():
            return [f"{folder}: no such folder; name one that labkit deal --to wrote"]
        if not self.own_accounts:
            return ["an exam cannot be kept from learners who share your account; start as root"]
        if folder.stat().st_mode & 0o077:
            return [f"{folder}: learners may look into it; chmod 700 {folder}"]
        return []

    def _accounts(self) -> list[str]:
        import pwd

        known = {entry.pw_name: entry.pw_uid for entry in pwd.getpwall()}
        lacking = [name for name in self.names if name not in known]
        problems = []
        if lacking:
            problems.append(
                f"{', '.join(lacking)}: no such account on this machine; make it by "
                f"'useradd --create-home {lacking[0]}', or start as another user than root for a "
                "trial in which all share one account"
            )
        problems += [f"{name}: is root's account" for name in self.names if known.get(name) == 0]
        python = Path(sys.executable)
        for path in (python, python.resolve(), Path(labkit.__file__), self.folder.resolve()):
            problems += _closed(path)
        return list(dict.fromkeys(problems))


def is_root() -> bool:
    """Whether this program may start others under other accounts."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def missing(tls: bool = False) -> list[str]:
    """What is not installed that a hub needs, in a sentence.

    Parameters
    ----------
    tls : bool
        It is to speak TLS.
    """
    if os.name == "nt":
        return ["a hub runs on Linux and macOS; on Windows, use its Linux subsystem"]
    lacking = [] if importlib.util.find_spec("jupyterhub") else ["jupyterhub"]
    lacking += [] if proxy() else [_PROXY]
    if lacking:
        names = " and ".join(lacking)
        return [f"not installed here: {names}; pip install 'labkit[class]' brings what is needed"]
    if tls and not proxy(tls):
        return [
            f"the {_PROXY} here knows no TLS; install node's (npm install -g {_PROXY}), or leave "
            "--certificate out and put a web server that speaks TLS before it"
        ]
    return []


def proxy(tls: bool = False) -> list[str]:
    """Return how the proxy before the hub is started: node's if there is one; empty without any.

    Python's is enough on one machine, but knows no TLS.
    """
    for folder in (Path(sys.executable).parent, *map(Path, os.get_exec_path())):
        found = folder / _PROXY
        if found.is_file() and os.access(found, os.X_OK):
            with found.open("rb") as script:
                if b"node" in script.readline(200):
                    return [str(found)]
    if tls or not importlib.util.find_spec("configurable_http_proxy"):
        return []
    return [sys.executable, "-P", "-m", "labkit.classroom.proxy"]


def _taken(ip: str, port: int) -> Iterable[str]:
    family = socket.AF_INET6 if ":" in ip else socket.AF_INET
    with socket.socket(family) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((ip, port))
        except OSError as error:
            yield f"{ip} port {port}: {(error.strerror or 'is taken').lower()}; choose another"


def _closed(path: Path) -> Iterable[str]:
    """Say which folder on the way to a path learners may not enter."""
    for folder in reversed(path.parents):
        if folder.is_dir() and not folder.stat().st_mode & stat.S_IXOTH:
            yield (
                f"{folder}: learners may not enter it, and need what is in {path.parent}; install "
                "labkit and put the class elsewhere, such as in /opt and /srv"
            )
            return
