"""What a page runs: Pyodide, the libraries and the learner's part of this package, packed.

The learner's part is every module of the rooms below that loads nothing heavy; what would need
numpy is not in it.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
import shutil
import subprocess
import tarfile
import tempfile
import zipfile
from importlib import resources
from pathlib import Path

import labkit
from labkit.anywhere.runtime import pyodide, wheels
from labkit.text.files import write
from labkit.text.messages import CircuitError

ROOMS = (
    "aboard", "anywhere", "circuits", "clock", "diagnosis", "drawing", "exercises", "hunts",
    "measuring", "ownboat", "paper", "parts", "questions", "record", "solving", "survey",
    "text", "widgets",
)  # fmt: skip  # rows that a reader compares
"""Rooms of this package that a hunt may need."""

HEAVY = re.compile(
    r"(?m)^(?:import|from) (?:numpy|scipy|matplotlib|ipywidgets|anywidget|traitlets|typst|typer)\b"
)
"""What a module loads as it is loaded, and a page does not have."""

_UNUSED = re.compile(
    r"(?:idlelib|lib2to3|test|unittest|pydoc_data|ensurepip|tkinter|turtledemo|sqlite3|venv|curses"
    r"|dbm|xmlrpc|wsgiref|msilib|multiprocessing|_pyrepl|turtle|pydoc|doctest|mailbox|nntplib"
    r"|imaplib|smtplib|ftplib|poplib|telnetlib|cgi|pdb|profile|cProfile|pstats|_pyio|_pydatetime"
    r"|_pydecimal|pickletools|optparse|configparser|xml/(?:dom|sax)|socketserver|plistlib|bdb|trace|wave"
    r"|statistics|webbrowser|zipapp|shelve|cmd|timeit|http/(?:cookiejar|cookies|server)"
    r"|logging/(?:handlers|config)|asyncio/windows\w*)[/.]"
    r"|encodings/(?!__init__|aliases|ascii|utf_|latin_1|cp437|idna|punycode|\w*unicode)"
)
"""Of Python's own library, what no hunt can need."""

_LEFT_OUT = re.compile(
    r"pydantic/(?:v1/|mypy\.py|deprecated/|_hypothesis|experimental/)|\.pyi$|/sboms/|/licenses/"
    r"|schemdraw/(?:logic|flow|dsp|pictorial|parsing)/|\.dist-info/RECORD|annotated_types/test_cases"
)

_OURS = ("__init__", "hunt", "lines", "play", "surveying", "weighing")
"""Of this room, what runs in the page; the rest builds it."""

FROM_PYODIDE = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "python_stdlib.zip")


def learners_modules() -> list[Path]:
    """Return the modules of this package that the page takes along."""
    home = Path(labkit.__file__).parent
    files = [home / "__init__.py", *(f for room in ROOMS for f in (home / room).rglob("*.py"))]
    builds = {file for file in (home / "anywhere").glob("*.py") if file.stem not in _OURS}
    return [f for f in files if f not in builds and not HEAVY.search(f.read_text("utf-8"))]


def pieces(cache: Path) -> dict[str, bytes]:
    """Return everything that a page's Python starts from, by name.

    Raises
    ------
    CircuitError
        If a piece, or Node.js to compile with, is missing.
    """
    runtime = _unpacked(cache)
    made = {name: (runtime / name).read_bytes() for name in FROM_PYODIDE}
    made["python_stdlib.zip"] = _slim(made["python_stdlib.zip"])
    lock = json.loads((runtime / "pyodide-lock.json").read_text("utf-8"))
    made["pyodide-lock.json"] = json.dumps({**lock, "packages": {}}).encode()
    made["libraries.zip"] = _libraries(cache, runtime)
    made["labkit.zip"] = _package(cache, runtime)
    return made


def licences(cache: Path) -> str:
    """Return the licences of all that is taken along, one after the other."""
    home = resources.files("labkit.anywhere")
    found = [
        "This page: MIT licence, as this package.\n",
        "Pyodide: Mozilla Public License 2.0, below; its source is at "
        "https://github.com/pyodide/pyodide. It holds CPython with its library, Python Software "
        "Foundation License 2, https://docs.python.org/3/license.html.\n",
    ]
    for wheel in wheels(cache):
        with zipfile.ZipFile(wheel) as packed:
            texts = [n for n in packed.namelist() if "licen" in n.lower().rpartition("/")[2]]
            name = " ".join(wheel.name.split("-")[:2])
            found += [f"{name}\n\n{packed.read(text).decode()}" for text in texts]
    found.append((home / "MPL-2.0.txt").read_text("utf-8"))
    return f"\n{'=' * 72}\n\n".join(found)


def node() -> str:
    """Return Node.js, by which Python for the page is compiled.

    Raises
    ------
    CircuitError
        If it is not here.
    """
    found = shutil.which("node")
    if found is None:
        raise CircuitError(
            [
                "Node.js is needed to build a page and is not here; install it (Debian: apt-get "
                "install nodejs npm), version 20 or newer"
            ]
        )
    return found


def _unpacked(cache: Path) -> Path:
    """Pyodide's files, where Node.js can load them."""
    packed = pyodide(cache)
    there = cache / packed.stem
    if not (there / "pyodide.asm.wasm").is_file():
        # the binary comes last, as the sign that all are there
        names = sorted((*FROM_PYODIDE, "pyodide-lock.json", "package.json"), key=_last)
        with tarfile.open(packed) as tar:
            for name in names:
                file = tar.extractfile(f"package/{name}")
                assert file is not None
                write(there / name, file.read())
    return there


def _last(name: str) -> bool:
    return name == "pyodide.asm.wasm"


def _slim(stdlib: bytes) -> bytes:
    """Python's own library without what no hunt can need; stored, since the whole is packed."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(stdlib)) as old, zipfile.ZipFile(made, "w") as new:
        for name in sorted(old.namelist()):
            if not _UNUSED.match(name):
                new.writestr(zipfile.ZipInfo(name, (2020, 1, 1, 0, 0, 0)), old.read(name))
    return made.getvalue()


def _libraries(cache: Path, runtime: Path) -> bytes:
    """The libraries, compiled once for each set of wheels."""
    files = wheels(cache)
    names = "".join(file.name for file in files) + runtime.name + _LEFT_OUT.pattern + "2"
    kept = cache / f"libraries-{hashlib.sha256(names.encode()).hexdigest()[:12]}.zip"
    if not kept.is_file():
        with tempfile.TemporaryDirectory() as stage:
            for file in files:
                with zipfile.ZipFile(file) as packed:
                    wanted = [n for n in packed.namelist() if not _LEFT_OUT.search(n)]
                    packed.extractall(stage, wanted)
            write(kept, _compiled(runtime, Path(stage), 2))
    return kept.read_bytes()


def _package(cache: Path, runtime: Path) -> bytes:
    """The learner's part of this package, compiled anew where a line of it has changed."""
    home = Path(labkit.__file__).parent
    files = [*learners_modules(), home / "hunts" / "played.toml"]
    texts = {file.relative_to(home.parent): file.read_bytes() for file in files}
    sums = "".join(f"{name} {hashlib.sha256(t).hexdigest()}\n" for name, t in texts.items())
    kept = cache / f"labkit-{hashlib.sha256((sums + runtime.name).encode()).hexdigest()[:12]}.zip"
    if not kept.is_file():
        for old in cache.glob("labkit-*.zip"):
            old.unlink(missing_ok=True)
        with tempfile.TemporaryDirectory() as stage:
            for name, text in texts.items():
                write(Path(stage) / name, text)
            write(kept, _compiled(runtime, Path(stage), 2))
    return kept.read_bytes()


def _compiled(runtime: Path, stage: Path, optimize: int) -> bytes:
    with (
        tempfile.TemporaryDirectory() as there,
        resources.as_file(resources.files("labkit.anywhere") / "compile.mjs") as script,
    ):
        made = Path(there) / "made.zip"
        command = [node(), str(script), str(runtime), str(stage), str(made), str(optimize)]
        done = subprocess.run(command, capture_output=True, encoding="utf-8", check=False)
        if done.returncode or not made.is_file():
            said = (done.stderr.strip().splitlines() or ["it said nothing"])[-1]
            raise CircuitError([f"Node.js could not compile the page's Python ({said})"])
        return made.read_bytes()
