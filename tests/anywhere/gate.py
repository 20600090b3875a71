"""The page's own Python held to this one: the same acts, the same displays."""

import io
import json
import subprocess
import tempfile
import zipfile
from pathlib import Path

from labkit.anywhere.build import exercises_zip
from labkit.anywhere.laid import chosen, laid_all
from labkit.anywhere.pack import node, pieces
from labkit.anywhere.runtime import default_cache, pyodide
from tests.anywhere.acts import invent
from tests.boats import EXERCISES

HERE = Path(__file__).parent
CIRCUITS = EXERCISES


def gate(count: int, seed: int = 0) -> tuple[list, list]:
    """Invent so many acts, play them in the page's Python; the boats, and what shows otherwise."""
    boats = invent(CIRCUITS, count, seed)
    return boats, in_page("acts.py", CIRCUITS, json.dumps(boats))


def all_hunts(learner: str) -> list:
    """Open, name, repair and prove every hunt in the page's Python, dealt to that learner."""
    laid = laid_all(chosen([EXERCISES]), default_cache(), whole=False)
    with tempfile.TemporaryDirectory() as there:
        zipfile.ZipFile(io.BytesIO(exercises_zip(laid))).extractall(there)
        return in_page("hunts.py", Path(there) / "exercises", learner)


def in_page(script: str, folder: Path, text: str) -> list:
    """Let the page's Python run what a script of this folder plays, and return it."""
    cache = default_cache()
    made = pieces(cache)
    with tempfile.TemporaryDirectory() as there:
        files = []
        for name in ("libraries.zip", "labkit.zip"):
            files.append(Path(there) / name)
            files[-1].write_bytes(made[name])
        data = Path(there) / "data.json"
        data.write_text(text, "utf-8")
        runtime = cache / pyodide(cache).stem
        command = [node(), HERE / "play.mjs", runtime, *files, HERE / script, folder, data]
        done = subprocess.run(
            [*map(str, command)], capture_output=True, text=True, check=False, timeout=7200
        )
    assert done.returncode == 0, done.stderr[-2000:]
    found: list = json.loads(done.stdout)
    return found
