"""Circuit files: TOML in, a Circuit or every mistake in a sentence out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from labkit.circuits.circuit import AMBIENT, Accepted, Circuit, assemble
from labkit.circuits.water import Water
from labkit.parts import KINDS, Part
from labkit.text.messages import CircuitError, article, did_you_mean
from labkit.text.quantities import CURRENT, TEMPERATURE, VOLTAGE, QuantityError
from labkit.text.toml_file import read_toml
from labkit.text.wording import sentences, short

LONGEST_NAME = 60
"""Of a node, or of a way through a part. [letters]"""

SHOP_WORDS = {
    "bulb": "lamp", "button": "switch", "cell": "battery", "crimp": "joint", "dynamo": "alternator",
    "fan": "motor", "led": "indicator", "light": "lamp", "lug": "joint", "panel": "solar panel",
    "plug": "connector", "pump": "motor", "radio": "electronics", "ring": "joint",
    "socket": "connector", "splice": "joint", "splitter": "isolator", "terminal": "joint",
    "vsr": "combiner", "wire": "cable",
}  # fmt: skip  # rows that a reader compares
"""What people call parts, and the kind that is meant."""

MOST_PARTS = 3000
"""A file with more describes no boat, and each answer about it would take minutes. Our choice."""

MOST_DRIFT = 2.0
"""Of a clamp. [A] Some tenths are usual; common practice, no source."""

_TOP = ("title", "system", "ambient", "clamp_drift", "water", "run", "notes", "accepts")
_ACCEPTS = ("rule", "part", "why")
_RUN = ("name", "from", "to", "parts")


def load_circuit(path: str | Path) -> Circuit:
    """Read a circuit file.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    Circuit

    Raises
    ------
    CircuitError
        With everything that is wrong in the file, a sentence each: file, run, part and key, what
        was found, what would be right.
    """
    return circuit_from(read_toml(path), str(path))


def circuit_from(table: Mapping[str, Any], file: str = "") -> Circuit:
    """Build a circuit from a parsed file. Raises CircuitError as :func:`load_circuit` does."""
    problems = _unknown(table, _TOP, "")
    title = table.get("title", "")
    if not isinstance(title, str) or not title.strip():
        what = f"found {short(title)}" if "title" in table else "is missing"
        problems.append(f'title: {what}; write what the circuit is, such as title = "Cabin lamp"')
    system = _system(table, problems)
    runs = table.get("run", [])
    if not isinstance(runs, list) or not runs or not all(isinstance(r, dict) for r in runs):
        problems.append("run: there is none; describe each stretch of parts under [[run]]")
        runs = []
    passed = sum(len(r["parts"]) for r in runs if isinstance(r.get("parts"), list))
    if passed > MOST_PARTS:
        raise CircuitError(
            [
                f"{file}: run: found {passed:,} parts in {len(runs):,} runs; at most "
                f"{MOST_PARTS:,} can be reckoned with; describe the boat in several files, a "
                "panel in each"
            ]
        )
    parts: dict[str, Part] = {}
    names: set[str] = set()
    refused: set[str] = set()
    traced = []
    for index, raw in enumerate(runs, 1):
        name = raw.get("name", f"run {index}")
        name = name if isinstance(name, str) and name.strip() else f"run {index}"
        where = f"run '{short(name, quote=False)}'"
        problems += _unknown(raw, _RUN, f"{where}, ")
        if name in names:
            problems.append(f"{where}, name: is already the name of another run; give it its own")
        names.add(name)
        ends = [_end(raw, key, where, problems) for key in ("from", "to")]
        steps = _steps(raw, where, parts, refused, problems, system)
        if any(ends):  # where one is missing, the other still counts for the node it names
            traced.append((name, ends[0] or ends[1], ends[1] or ends[0], steps))
    ambient, drift = _ambient(table, problems), _clamp_drift(table, problems)
    water = _water(table, parts, problems)
    accepts = _accepts(table.get("accepts", []), parts, refused, problems)
    made = assemble(str(title), system, traced, parts, file, problems)
    return replace(made, ambient=ambient, water=water, accepts=accepts, clamp_drift=drift)


def _clamp_drift(table: Mapping[str, Any], problems: list[str]) -> float:
    try:
        drift = CURRENT.parse(table.get("clamp_drift", "0 A"))
    except QuantityError as error:
        problems.append(f"clamp_drift: {error}")
        return 0.0
    if drift > MOST_DRIFT:
        problems.append(f'clamp_drift: found "{drift:g} A"; a clamp wanders by 2 A at most')
    return drift


def _ambient(table: Mapping[str, Any], problems: list[str]) -> float:
    if "ambient" not in table:
        return AMBIENT
    try:
        ambient = TEMPERATURE.parse(table["ambient"])
    except QuantityError as error:
        problems.append(f"ambient: {error}")
        return AMBIENT
    if not -40 <= ambient <= 60:
        problems.append(f'ambient: found "{ambient:g} C"; air aboard is between -40 C and 60 C')
    return ambient


def _water(
    table: Mapping[str, Any], parts: Mapping[str, Part], problems: list[str]
) -> Water | None:
    raw = table.get("water")
    if raw is None:
        return None
    if not isinstance(raw, dict):
        problems.append(f'water: found {short(raw)}; write a table, [water], with leak = "1 l/min"')
        return None
    try:
        water = Water.model_validate(raw)
    except ValidationError as error:
        problems.extend(f"water, {text}" for text in sentences(error, Water, "water"))
        return None
    problems.extend(f"water, {text}" for text in water.problems(parts))
    return water


def _accepts(
    listed: Any, parts: Mapping[str, Part], refused: set[str], problems: list[str]
) -> tuple[Accepted, ...]:
    example = '{ rule = "voltage drop", part = "M1", why = "it is the lesson" }'
    if not isinstance(listed, list) or not all(isinstance(item, dict) for item in listed):
        problems.append(f"accepts: found {short(listed)}; write a list, accepts = [{example}]")
        return ()
    found = []
    for place, item in enumerate(listed, 1):
        where = f"accepts, {place}"
        problems += _unknown(item, _ACCEPTS, f"{where}, ")
        texts = [item.get(key) for key in _ACCEPTS]
        if not all(isinstance(text, str) and text.strip() for text in texts):
            problems.append(f"{where}: needs rule, part and why, each a text, such as {example}")
        elif item["part"] not in parts:
            if item["part"] not in refused:
                hint = did_you_mean(item["part"], parts)
                problems.append(f"{where}, part: no part {short(item['part'])}; {hint}")
        else:
            found.append(Accepted(*(str(text) for text in texts)))
    return tuple(found)


def _system(table: Mapping[str, Any], problems: list[str]) -> float:
    try:
        system = VOLTAGE.parse(table.get("system", "12 V"))
    except QuantityError as error:
        problems.append(f"system: {error}")
        return 12.0
    if not 1 <= system <= 60:
        problems.append(f'system: found "{system:g} V"; DC aboard is between 1 V and 60 V')
        return 12.0
    return system


def _end(raw: Mapping[str, Any], key: str, where: str, problems: list[str]) -> str:
    end = raw.get(key)
    if isinstance(end, str) and end.strip() and len(end) <= LONGEST_NAME:
        return end
    found = "is missing" if end is None else f"found {short(end)}"
    problems.append(f'{where}, {key}: {found}; name the node, such as {key} = "panel" or "DC-"')
    return ""


def _steps(
    raw: Mapping[str, Any],
    where: str,
    parts: dict[str, Part],
    refused: set[str],
    problems: list[str],
    system: float,
) -> list[tuple[str, str]]:
    listed = raw.get("parts", [])
    if not isinstance(listed, list):
        problems.append(
            f"{where}, parts: found {short(listed)}; write a list, parts = [ {{ ... }}, ... ]"
        )
        return []
    steps = []
    for place, item in enumerate(listed, 1):
        if not isinstance(item, dict):
            problems.append(
                f'{where}, part {place}: found {short(item)}; write {{ id = "X1", is = "joint" }}'
            )
            continue
        id = item.get("id")
        here = f"{where}, part {short(id, quote=False) if isinstance(id, str) else place}"
        via = item.get("via", "")
        if not isinstance(via, str) or len(via) > LONGEST_NAME:
            problems.append(f'{here}, via: found {short(via)}; write it as text, such as "30-87"')
            via = ""
        keys = {k: v for k, v in item.items() if k not in ("is", "via")}
        if "is" not in item:
            if not _known_again(id, keys, here, parts, refused, problems):
                continue
        elif isinstance(id, str) and (id in parts or id in refused):
            problems.append(f"{here}, id: is already described; give this part an id of its own")
            continue
        elif not _describe(item["is"], keys, here, parts, problems, system):
            refused.add(str(id))
            continue
        steps.append((str(id), via))
    return steps


def _known_again(
    id: Any,
    keys: Mapping[str, Any],
    here: str,
    parts: Mapping[str, Part],
    refused: set[str],
    problems: list[str],
) -> bool:
    """Tell whether a part without `is` is one met before, passed by another way."""
    if isinstance(id, str) and id in refused:
        return False
    if not isinstance(id, str) or id not in parts:
        problems.append(f'{here}, is: is missing; say what the part is, such as is = "joint"')
        return False
    problems.extend(
        f"{here}, {key}: stands where the part is met again; write it where the part is described"
        for key in keys
        if key != "id"
    )
    return True


def _describe(
    kind: Any,
    keys: Mapping[str, Any],
    here: str,
    parts: dict[str, Part],
    problems: list[str],
    system: float,
) -> bool:
    if not isinstance(kind, str) or kind not in KINDS:
        word = kind if isinstance(kind, str) else ""
        known = SHOP_WORDS.get(word)
        hint = f'write "{known}"' if known else did_you_mean(word, KINDS, len(KINDS))
        if not known and not hint.endswith("?"):
            hint += "; 'labkit kinds' explains them"
        problems.append(f"{here}, is: no part {short(kind)}; {hint}")
        return False
    try:
        part = KINDS[kind].model_validate(keys, context={"system": system})
    except ValidationError as error:
        found = sentences(error, KINDS[kind], article(kind))
        problems.extend(f"{here}, {_explained(text, kind)}" for text in found)
        return False
    parts[part.id] = part
    return True


def _explained(text: str, kind: str) -> str:
    """A refusal of a key, with where the keys of its part are explained."""
    if "has no such key; there are" not in text:
        return text
    return f"{text.partition('; there are')[0]}; see them with: labkit kinds {_typed(kind)}"


def _typed(name: str) -> str:
    return f'"{name}"' if " " in name else name


def _unknown(table: Mapping[str, Any], known: tuple[str, ...], where: str) -> list[str]:
    return [
        f"{where}{short(key, quote=False)}: no such key here; {did_you_mean(key, known)}"
        for key in table
        if key not in known
    ]
