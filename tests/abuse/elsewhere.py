"""Exercises that name a circuit outside their folder, or something that is no file at all."""

from __future__ import annotations

import json
import os
import sys
import tempfile
from pathlib import Path
from random import Random

from labkit.exercises.files import load
from labkit.text.messages import CircuitError

from .damage import EXERCISES
from .tally import Tally

SECRET = "boat that nobody should read"


def elsewhere(rng: Random, count: int) -> Tally:
    """Exercises that name a circuit outside their folder, or something that is no file."""
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "class"
        (home / "circuits").mkdir(parents=True)
        secret = Path(folder) / "secret.toml"
        washdown = (EXERCISES / "circuits" / "washdown.toml").read_text(encoding="utf-8")
        secret.write_text(washdown.replace("title = ", f'title = "{SECRET}" #', 1), "utf-8")
        ways = [
            "../secret.toml",
            str(secret),
            "circuits/../../secret.toml",
            "./../secret.toml",
            "..\\secret.toml",
            "C:\\secret.toml",
            "file:///etc/passwd",
            "/etc/passwd",
            "~/.ssh",
            "/dev/zero",
            "/dev/stdin",
            "/proc/self/environ",
            "circuits",
            ".",
            "",
            "boat.toml",
            "circuits/\\u0000.toml",
            "//host/share/secret.toml",
            *_links(home, secret),
        ]
        text = (EXERCISES / "slow-washdown.toml").read_text(encoding="utf-8")
        for way in ways[:count]:
            path = home / "boat.toml"
            quoted = json.dumps(way).replace("\\\\u0000", "\\u0000")
            path.write_text(text.replace('"circuits/washdown.toml"', quoted), "utf-8")
            found = tally.attempt(way, lambda path=path: load(path))
            if found is not None:
                tally.wrong(f'circuit = "{way}": was read')
            try:
                load(path)
            except CircuitError as error:
                if SECRET in str(error):
                    tally.wrong(f'circuit = "{way}": what it holds was said')
    return tally


def _links(home: Path, secret: Path) -> list[str]:
    """Links that lead out, to themselves and to a folder elsewhere; a pipe nobody writes to."""
    if sys.platform == "win32":
        return []
    (home / "circuits" / "link.toml").symlink_to(secret)
    (home / "circuits" / "loop.toml").symlink_to("loop.toml")
    (home / "out").symlink_to(home.parent, target_is_directory=True)
    (home / "circuits" / "zero.toml").symlink_to("/dev/zero")
    os.mkfifo(home / "circuits" / "pipe.toml")
    return ["circuits/link.toml", "circuits/loop.toml", "out/secret.toml", "circuits/zero.toml",
            "circuits/pipe.toml"]  # fmt: skip  # rows that a reader compares
