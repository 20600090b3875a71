"""Files made to take all memory or all time, each read in a child that has little of both.

``python -m tests.abuse.bombs NAME`` is that child.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path
from random import Random

from labkit.exercises.checking import check_file

from .damage import EXERCISES
from .tally import Tally, bound_memory, bound_time, in_child, told

PATIENCE = 30.0
"""Processor time for one file. [s]"""

_HEAD = 'title = "x"\n[[run]]\nfrom = "DC-"\nto = "a"\nparts = [{id="G1", is="battery", emf=%s}]\n'
_SOURCE = _HEAD % '"12 V"'
_EXERCISE = ('title = "x"\ncircuit = "circuits/washdown.toml"\ncomplaint = "y"\n%s\n[proof]\n'
             'load = "M1"\n')  # fmt: skip  # rows that a reader compares


def _loads(number: int, parts: str) -> str:
    return _SOURCE + "".join(
        f'[[run]]\nfrom = "a"\nto = "DC-"\nparts = [{parts.replace("#", str(n))}]\n'
        for n in range(1, number + 1)
    )


def rings_of_relays(lengths: tuple[int, ...]) -> str:
    """Rings of relays, each driving the next and one breaking: as many rounds as there are."""
    text, first = _SOURCE, 0
    for length in lengths:
        ring = [first + n for n in range(1, length + 1)]
        first += length
        text += "".join(
            f'[[run]]\nfrom = "a"\nto = "between {id}"\n'
            f'parts = [{{id="K{id}", is="relay", coil="100 ohm", via="30-87{"a" * (n == 0)}"}}]\n'
            f'[[run]]\nfrom = "between {id}"\nto = "DC-"\n'
            f'parts = [{{id="K{ring[(n + 1) % length]}", via="86-85"}}]\n'
            for n, id in enumerate(ring)
        )
    # A part is described where it is met first, so the runs with the contacts stand first.
    blocks = text[len(_SOURCE) :].split("[[run]]")[1:]
    blocks.sort(key=lambda block: "is=" not in block)
    return _SOURCE + "".join(f"[[run]]{block}" for block in blocks)


BOMBS: dict[str, str] = {
    "a number of 20,000 figures": "a = " + "1" * 20000,
    "a hexadecimal number of 200,000 figures": "title = 0x" + "f" * 200000,
    "a key of 20,000 steps": "title." + ".".join(["a"] * 20000) + " = 1",
    "a table 100,000 deep": "[" + ".".join(["a"] * 100000) + "]\nb = 1",
    "keys of 190 steps on each line": "\n".join(f"a{n}." + "b." * 190 + "c=1" for n in range(600)),
    "lists 200 deep": "title = " + "[" * 200 + "]" * 200,
    "lists 100,000 deep": "title = " + "[" * 100000,
    "tables 300 deep": "title = " + "{a=" * 300 + "1" + "}" * 300,
    "a voltage of 200,000 figures": _HEAD % ('"' + "1" * 200000 + ' x\\ny"'),
    "a voltage of 200,000 spaces": _HEAD % ('"1' + " " * 200000 + 'V\\n"'),
    "a unit of 200,000 letters": _HEAD % ('"1 ' + "m" * 200000 + '"'),
    "20,000 unknown keys": _SOURCE + "\n".join(f"titel{n} = 1" for n in range(20000)),
    "20,000 tables": _SOURCE + "\n".join(f"[t{n}]" for n in range(20000)),
    "8,000 parts in a row": _SOURCE + '[[run]]\nfrom = "a"\nto = "DC-"\nparts = ['
        + ",".join(f'{{id="X{n}",is="joint"}}' for n in range(1, 8001))
        + ',{id="R1",is="resistor",resistance="1 ohm"}]',
    "900 fuses that open one by one": _loads(
        900, '{id="F#",is="fuse",rating="2 A"},{id="R#",is="resistor",resistance="1 ohm"}'),
    "2,000 lamps": _loads(2000, '{id="E#",is="lamp",voltage="12 V",power="5 W"}'),
    "2,000 diodes in a row": _SOURCE + '[[run]]\nfrom = "a"\nto = "DC-"\nparts = ['
        + ",".join(f'{{id="V{n}",is="diode"}}' for n in range(1, 2001))
        + ',{id="R1",is="resistor",resistance="1 ohm"}]',
    "900 electronics on long wires": _loads(
        900, '{id="W#",is="cable",size="18 AWG",length="# m"},{id="A#",is="electronics",'
        'power="50 W",cut_out="11 V",restart="11.5 V"}'),
    "rings of relays that repeat after 360,360 rounds": rings_of_relays((3, 4, 5, 7, 9, 11, 13)),
    "a fault of 200,000 letters": _EXERCISE % f'faults = ["X1 {"a " * 100000}!"]',
    "20,000 variants": _EXERCISE % ('deal = "one of"\nfaults = [' + '"X1 open", ' * 20000 + "]"),
    "20,000 faults at once": _EXERCISE % f'faults = ["X1 open{" + X1 open" * 20000}"]',
    "a circuit's name of 100,000 letters": (_EXERCISE % 'faults = ["X1 open"]').replace(
        "circuits/", "circuits/" * 10000),
}  # fmt: skip  # rows that a reader compares
"""What each is, and the file."""


def bomb(name: str) -> Tally:
    """Read one of the hostile files."""
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        shutil.copytree(EXERCISES / "circuits", home / "circuits")
        path = home / "boat.toml"
        path.write_text(BOMBS[name], encoding="utf-8")
        tally.attempt(name, lambda: tally.sentences(name, check_file(path)[1] or ["it was read."]))
    return tally


def bombs(rng: Random, count: int) -> Tally:
    """Read the hostile files, each in a child of little memory and time."""
    tally = Tally()
    names = list(BOMBS)
    for name in rng.sample(names, min(count, len(names))):
        tally.add(in_child("tests.abuse.bombs", name, seconds=20 * PATIENCE))
    return tally


if __name__ == "__main__":
    bound_memory()
    bound_time(PATIENCE)
    told(bomb(sys.argv[1]))
