"""Writes the page: a folder for any web host, or one file that is opened from the disk."""

from __future__ import annotations

import base64
import gzip
import hashlib
import io
import json
import zipfile
from collections.abc import Mapping, Sequence
from importlib import resources
from pathlib import Path

from labkit.anywhere.laid import Laid
from labkit.anywhere.pack import licences, pieces
from labkit.anywhere.page_html import html_of
from labkit.text.files import refuse_existing, write


def build(target: Path, hunts: Sequence[Laid], cache: Path, overwrite: bool = False) -> list[Path]:
    """Write the page and return the files written.

    Parameters
    ----------
    target : Path
        A folder, or a file that ends in .html.
    hunts : sequence of Laid
    cache : Path
        Where what is fetched is kept.
    overwrite : bool
        Replace what is there.

    Raises
    ------
    CircuitError
        If something is there already, is missing, or cannot be written.
    """
    single = target.suffix.lower() in (".html", ".htm")
    refuse_existing([target if single else target / "index.html"], overwrite)
    first = {one.slug: {"states": one.states} for one in hunts}
    plain = {
        "first.json": json.dumps(first).encode(),
        **pieces(cache),
        "hunts.zip": exercises_zip(hunts),
    }
    packed = {name: gzip.compress(data, 9, mtime=0) for name, data in plain.items()}
    files = _single(hunts, packed, cache) if single else _folder(hunts, packed, cache)
    home = target.parent if single else target
    named = {home / (target.name if single else name): data for name, data in files.items()}
    refuse_existing(named, overwrite)
    for path, data in named.items():
        write(path, data)
    return list(named)


def exercises_zip(hunts: Sequence[Laid]) -> bytes:
    """Pack the files of the hunts, and of the circuits they are set in, as the page reads them."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        for name, text in _exercise_files(hunts).items():
            packed.writestr(zipfile.ZipInfo(f"exercises/{name}", (2020, 1, 1, 0, 0, 0)), text)
    return made.getvalue()


def _exercise_files(hunts: Sequence[Laid]) -> dict[str, bytes]:
    """Every file, in a folder for each folder that hunts come from; which is whose, by `index`."""
    found: dict[str, bytes] = {}
    index, homes = {}, list(dict.fromkeys(Path(one.exercise.file).parent for one in hunts))
    for one in hunts:
        home, circuit = Path(one.exercise.file).parent, Path(one.exercise.circuit.file)
        for path in (Path(one.exercise.file), circuit):
            name = f"{homes.index(home)}/{path.relative_to(home).as_posix()}"
            found[name] = path.read_bytes()
        index[one.slug] = f"{homes.index(home)}/{Path(one.exercise.file).name}"
        if one.weighing:
            found[f"weighing/{one.slug}.json"] = json.dumps(one.weighing).encode()
    return {"index.json": json.dumps(index).encode(), **dict(sorted(found.items()))}


def _single(
    hunts: Sequence[Laid], packed: Mapping[str, bytes], cache: Path
) -> dict[str, str | bytes]:
    sizes = {name: ("", len(data)) for name, data in packed.items()}
    embedded = {name: as_text(data) for name, data in packed.items()}
    return {"": html_of(hunts, sizes, embedded, licences(cache))}


def as_text(data: bytes) -> str:
    """Write bytes as text that may stand in a script: base 85, with a comma for '<'.

    The first digit says how many zeros fill the end.
    """
    text = base64.b85encode(data, pad=True).decode().replace("<", ",")
    return f"{-len(data) % 4}{text}"


def _folder(
    hunts: Sequence[Laid], packed: Mapping[str, bytes], cache: Path
) -> dict[str, str | bytes]:
    """The files by name; `index.html` comes last, since it counts on all the others."""
    files: dict[str, str | bytes] = {"LICENCES.txt": licences(cache)}
    sizes = {}
    for name, data in packed.items():
        digest = hashlib.sha256(data).hexdigest()[:12]
        sizes[name] = (f"pieces/{name}.{digest}.bin", len(data))
        files[sizes[name][0]] = data
    page = html_of(hunts, sizes)
    version = f"labkit-{hashlib.sha256(page.encode()).hexdigest()[:12]}"
    listed = json.dumps(["./", "index.html", *files])
    script = (resources.files("labkit.anywhere") / "offline.js").read_text("utf-8")
    files["offline.js"] = f'const VERSION = "{version}";\nconst FILES = {listed};\n{script}'
    files["index.html"] = page
    return files
