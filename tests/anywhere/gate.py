"""The page's own Python held to this one: the same acts, the same displays."""

import json
import subprocess
import tempfile
from pathlib import Path

from labkit.anywhere.pack import node, pieces
from labkit.anywhere.runtime import default_cache, pyodide
from tests.anywhere.acts import invent
from tests.boats import EXERCISES

HERE = Path(__file__).parent
CIRCUITS = EXERCISES


def gate(count: int, seed: int = 0) -> tuple[list, list]:
    """Invent so many acts, play them in the page's Python; the boats, and what shows otherwise."""
    boats = invent(CIRCUITS, count, seed)
    cache = default_cache()
    made = pieces(cache)
    with tempfile.TemporaryDirectory() as there:
        files = []
        for name in ("libraries.zip", "labkit.zip"):
            files.append(Path(there) / name)
            files[-1].write_bytes(made[name])
        data = Path(there) / "acts.json"
        data.write_text(json.dumps(boats), "utf-8")
        runtime = cache / pyodide(cache).stem
        command = [node(), HERE / "play.mjs", runtime, *files, HERE / "acts.py", CIRCUITS, data]
        done = subprocess.run(
            [*map(str, command)], capture_output=True, text=True, check=False, timeout=7200
        )
    assert done.returncode == 0, done.stderr[-2000:]
    return boats, json.loads(done.stdout)
