"""The Python that runs in a page, and its libraries: fetched once, verified, kept between builds.

Pyodide and the one compiled library belong together: the library is built for just this Python and
this binary interface, so that both are raised at once or not at all.
"""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
import sys
import tempfile
from importlib import resources
from pathlib import Path

from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.text.plain_file import reason

PYODIDE = "314.0.7"
PYODIDE_SHA256 = "66b7949e5a0cba2250b586d7e368bf12fb482800748d182c4618254b685ffaa0"
PYTHON, PLATFORM = "3.14", "pyemscripten_2026_0_wasm32"
"""Of that Pyodide, by the names Python's packages go by (PEP 783)."""

_PIN = re.compile(r"(?m)^([\w-]+)==(\S+) --hash=sha256:(\w{64})$")


def default_cache() -> Path:
    """Return where the pieces are kept where nobody says otherwise: the user's cache folder."""
    import platformdirs

    return Path(platformdirs.user_cache_dir("labkit", appauthor=False)) / "page"


def pins() -> list[tuple[str, str, str]]:
    """Return each library with its version and the SHA-256 of its wheel."""
    text = (resources.files("labkit.anywhere") / "runtime.txt").read_text("utf-8")
    return [(name, version, digest) for name, version, digest in _PIN.findall(text)]


def pyodide(cache: Path) -> Path:
    """Return Pyodide's package, fetched by npm where it is not kept yet.

    Raises
    ------
    CircuitError
        If it is not there and cannot be had, or is not what it should be.
    """
    file = cache / f"pyodide-{PYODIDE}.tgz"
    if not _is(file, PYODIDE_SHA256):
        npm = shutil.which("npm")
        if npm is None:
            raise _missing([file.name], cache, "there is no npm here to fetch it with")
        with tempfile.TemporaryDirectory() as there:
            said = _run([npm, "pack", "--fetch-retries=1", f"pyodide@{PYODIDE}"], Path(there))
            _take([Path(there) / file.name], {PYODIDE_SHA256}, cache, [file.name], said)
    return file


def wheels(cache: Path) -> list[Path]:
    """Return the wheels of all libraries, fetched by pip where they are not kept yet.

    Raises
    ------
    CircuitError
        As :func:`pyodide` does.
    """
    wanted = {digest: f"{name} {version}" for name, version, digest in pins()}
    found = {digest: file for file in sorted(cache.glob("*.whl")) if (digest := _sum(file))}
    lacking = {digest: name for digest, name in wanted.items() if digest not in found}
    if lacking:
        with tempfile.TemporaryDirectory() as there:
            listed = Path(there) / "wanted.txt"
            lines = [
                f"{name}=={version} --hash=sha256:{digest}\n"
                for name, version, digest in pins()
                if digest in lacking
            ]
            listed.write_text("".join(lines), encoding="utf-8", newline="\n")
            asked = [
                sys.executable,
                "-m",
                "pip",
                "download",
                "--quiet",
                "--no-deps",
                "--require-hashes",
                "--retries",
                "1",
                "--timeout",
                "20",
                "--only-binary",
                ":all:",
                "--platform",
                PLATFORM,
                "--platform",
                "any",
                "--python-version",
                PYTHON,
                "--implementation",
                "cp",
                "--abi",
                f"cp{PYTHON.replace('.', '')}",
                "--abi",
                "none",
                "--dest",
                there,
                "--requirement",
                str(listed),
            ]
            said = _run(asked, Path(there))
            fresh = sorted(Path(there).glob("*.whl"))
            _take(fresh, set(lacking), cache, list(lacking.values()), said)
        return wheels(cache)
    return sorted(found[digest] for digest in wanted)


def _take(files: list[Path], digests: set[str], cache: Path, names: list[str], said: str) -> None:
    """Keep what was fetched, if it is all that was wanted and nothing else."""
    if {_sum(file) for file in files if file.exists()} != digests:
        raise _missing(names, cache, said or "what was fetched is not what was asked for")
    for file in files:
        write(cache / file.name, file.read_bytes())


def _missing(names: list[str], cache: Path, why: str) -> CircuitError:
    what = ", ".join(names)
    return CircuitError(
        [
            f"{what}: the page needs it and it could not be fetched ({why}); go online once, or "
            f"put it into {cache}"
        ]
    )


def _run(command: list[str], where: Path) -> str:
    """Run a command and return the last line it complained with, or ''."""
    try:
        done = subprocess.run(
            command, cwd=where, capture_output=True, encoding="utf-8", errors="replace", check=False
        )
    except OSError as error:
        return reason(error)
    lines = [line for line in done.stderr.splitlines() if line.strip()]
    return lines[-1].strip() if done.returncode and lines else ""


def _is(file: Path, digest: str) -> bool:
    return file.is_file() and _sum(file) == digest


def _sum(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()
