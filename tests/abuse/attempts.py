"""Attempts cut short, forged, written by many at once, on a full disk and where nothing can be."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from contextlib import suppress
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from labkit.desk.marks import replayed
from labkit.exercises.exercise import Exercise, load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.record import read_folder
from labkit.record.lines import encode
from tests.boats import ROOT

from .tally import Tally

EXERCISE = ROOT / "exercises" / "slow-washdown.toml"


@cache
def exercise() -> Exercise:
    """A hunt of few parts."""
    return load_exercise(EXERCISE)


def work(hunt: KeptHunt) -> int:
    """Do a few things at a hunt; return how many lines they make."""
    hunt.bench.switch("S2", "on")
    hunt.bench.read("X1:1", "X1:2")
    hunt.name("M1", "seized")
    return 3


@cache
def written() -> bytes:
    """A finished attempt, as it lies on the disk."""
    with tempfile.TemporaryDirectory() as folder:
        hunt = KeptHunt(exercise(), "Ada", Path(folder))
        work(hunt)
        hunt.name("X1", "high resistance")
        hunt.bench.repair("X1")
        hunt.prove()
        hunt.attempt.close()
        return hunt.attempt.path.read_bytes()


def _gone_on(data: bytes, tally: Tally, name: str) -> None:
    """Go on with an attempt in some state, and mark it, as a learner and an instructor would."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        stem = "the-washdown-pump-that-only-dribbles--ada--20261125t120000000000-00000000"
        (home / f"{stem}.jsonl").write_bytes(data)
        records, problems = read_folder(home)
        problems += replayed(records, {exercise().title: exercise()})[1]
        if problems:
            tally.sentences(name, problems)
        said: list[str] = []
        hunt = KeptHunt(exercise(), "Ada", home, tell=said.append)
        work(hunt)
        hunt.attempt.close()
        if said:
            tally.sentences(name, said)
        if not any(r.of("named") for r in read_folder(home)[0]):
            tally.wrong(f"{name}: what was done afterwards is not in the folder")


def cut_short(rng: Random, count: int) -> Tally:
    """A whole attempt cut off at every byte, or at so many of them."""
    tally, data = Tally(), written()
    cuts = range(len(data) + 1)
    for cut in cuts if count >= len(cuts) else sorted(rng.sample(cuts, count)):
        name = f"cut at byte {cut}"
        tally.attempt(name, lambda cut=cut, name=name: _gone_on(data[:cut], tally, name))
    return tally


_FACTS: dict[str, list[Any]] = {
    "action": ["read", "look", "self", 7, None, "sing"],
    "args": [{}, {"self": "x"}, {"red": "X1:1"}, {"red": 5}, [], "x", {"red": "²", "black": "7"},
             {"action": "look"}, {"id": "M1"}],
    "shows": ["12.7 V", "", 1e308, None, "\x1b[2J"],
    "minutes": [0.5, -1, "long", None, float("1e300"), 10**300],
    "hazards": [[], [{}], [{"kind": "ohms live"}], [{"kind": 3}], ["x"], {}, None],
    "part": ["X1", "", 3, None, "[/b]"], "mode": ["open", "", [], "x" * 5000],
    "right": [True, False, "yes", None], "ok": [True, 1, "true"],
    "misconception": ["sign", "", 3, ["x"], None],
}  # fmt: skip  # rows that a reader compares
"""What a forger might write, some of it right."""


def forged(rng: Random, count: int) -> Tally:
    """Lines with right numbers and checksums and wrong contents, and bytes at random."""
    tally, head = Tally(), {"schema": 1, "title": exercise().title, "learner": "Ada"}
    kinds = ["act", "named", "proof", "answer", "finished", "attempt", "", "sing"]
    for number in range(count):
        keys = [k for k in head if rng.random() < 0.98]
        lines = [encode(0, "attempt", {k: head[k] for k in keys})]
        for n in range(1, rng.randint(2, 6)):
            facts = {k: rng.choice(v) for k, v in _FACTS.items() if rng.random() < 0.5}
            lines.append(encode(n, rng.choice(kinds), facts))
        data = b"".join(lines)
        if rng.random() < 0.2:
            place = rng.randrange(len(data))
            data = data[:place] + rng.choice([b"[" * 5000, b"\xff\xfe", b"1" * 5000, b'"', b"\n"])
        name = f"forged {number}"
        tally.attempt(name, lambda data=data, name=name: _gone_on(data, tally, name))
    return tally


# -- many at once ----------------------------------------------------------------------------------

_BUSY = """
import sys
from pathlib import Path
from tests.abuse.attempts import exercise, work
from labkit.hunts.kept import KeptHunt
lines = 0
for round in range(int(sys.argv[2])):
    hunt = KeptHunt(exercise(), "Ada", Path(sys.argv[1]), again=round % 3 == 0, tell=lambda t: None)
    lines += work(hunt)
    hunt.attempt.close()
print(lines)
"""


def many_at_once(rng: Random, count: int) -> Tally:
    """Several programs at the same hunt of the same learner: no line lost, none mixed up."""
    tally, programs = Tally(), 4
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-c", _BUSY, folder, str(max(1, count // programs))]
        running = [
            subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                             encoding="utf-8", cwd=ROOT)
            for _ in range(programs)
        ]  # fmt: skip  # rows that a reader compares
        ended = [process.communicate(timeout=600) for process in running]
        tally.tried = programs * max(1, count // programs)
        tally.failures += [
            f"a program ended with {err.splitlines()[-1]}" for _, err in ended if err
        ]
        records, problems = read_folder(Path(folder))
        tally.failures += problems
        kept = sum(len(record.lines) for record in records)
        done = sum(int(out) for out, _ in ended if out)
        if kept != done:
            tally.wrong(f"{done} lines written, {kept} in the folder")
    return tally


# -- nowhere to write -----------------------------------------------------------------------------

_COMMANDS = (
    "draw exercises/circuits/washdown.toml {}/pump.svg",
    "sheet exercises/slow-washdown.toml -o {}/page.pdf",
    "new {}/mine.toml --circuit lamp",
    "schema --to {}/schema.json",
    "deal exercises/horn-mute.toml Ada Bo --to {}/dealt",
)

_HUNT = """
import sys
from pathlib import Path
from tests.abuse.attempts import exercise, work
from labkit.hunts.kept import KeptHunt
said = []
hunt = KeptHunt(exercise(), "Ada", tell=said.append)
for _ in range(3):
    work(hunt)
assert hunt.attempt.trouble, "nobody noticed"
assert len(said) == 1 and "practice goes on" in said[0], said
Path(sys.argv[1]).exists() or sys.exit("the place is gone")
"""


def nowhere_to_write(rng: Random, count: int) -> Tally:
    """A disk with no room, a home that cannot be written, a place that is a file."""
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        for place in _bad_places(Path(folder)):
            for command in ["hunt", *_COMMANDS][:count]:
                tally.tried += 1
                words = ["-c", _HUNT, str(place)]
                if command != "hunt":
                    words = ["-m", "labkit.cli.main", *command.format(place).split()]
                done = subprocess.run(
                    [sys.executable, *words], capture_output=True, text=True, encoding="utf-8",
                    cwd=ROOT, check=False,
                    env={**os.environ, "LABKIT_RECORDS": str(place / "kept")},
                )  # fmt: skip  # rows that a reader compares
                name = f"{command.split()[0]}, {place.name}"
                said = done.stderr.strip()
                if command == "hunt":
                    if done.returncode:
                        tally.wrong(f"{name}: {said[-300:]}")
                elif done.returncode != 1 or "Traceback" in said or "cannot be" not in said:
                    tally.wrong(f"{name}: status {done.returncode}, says {said[-300:]!r}")
            left = [p for p in place.rglob("*") if p.is_file() and p.stat().st_size]
            tally.failures += [f"{p} is left" for p in left if p.name != "full"]
            _unmounted(place)
    return tally


def _bad_places(folder: Path) -> list[Path]:
    """Places where nothing can be written, as many kinds as this machine lets one make."""
    (folder / "a-file").write_text("", encoding="utf-8")
    places = [folder / "a-file"]
    if sys.platform == "win32":
        return places
    for name, options in (("full-disk", "size=16k"), ("read-only", "ro")):
        place = folder / name
        place.mkdir()
        made = subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(place)],
                              capture_output=True, check=False)  # fmt: skip  # in rows
        if made.returncode == 0:
            places.append(place)
            if name == "full-disk":
                with suppress(OSError):
                    (place / "full").write_bytes(b"x" * 65536)
        elif name == "read-only" and os.geteuid() != 0:
            place.chmod(0o555)
            places.append(place)
    return places


def _unmounted(place: Path) -> None:
    if place.is_mount():
        subprocess.run(["umount", str(place)], check=True)
