"""Slips of the pen in a TOML file: where, what was found, what would be right."""

from __future__ import annotations

import re

from labkit.text.wording import lower, short

_PLACE = re.compile(r" *\(at line (\d+), column \d+\)")
_CURVED = re.compile("[“”„‘’]")
_BARE = re.compile(r"=\s*([^\s\"'\[{][^,}\]]*)")
_JOINED = re.compile(r'""\s*[\w"]')


def misprint(text: str, refusal: str) -> str:
    """Say what is wrong with a text that is no TOML, in the words of its writer.

    Parameters
    ----------
    text : str
        Of the file.
    refusal : str
        What Python's reader says of it; it knows where it stumbled, not what was meant.
    """
    place, rows = _PLACE.search(refusal), text.splitlines()
    if place is None or int(place[1]) > len(rows):
        return "the file ends too early; write the ] that closes its last list"
    number = int(place[1])
    last = next((n for n in range(number - 1, 0, -1) if _plain(rows[n - 1])), 0)
    row, above = _plain(rows[number - 1]), _plain(rows[last - 1]) if last else ""
    if above.endswith("}") and row.startswith("{"):
        return f"line {last}: a comma is missing at its end; each part but the last has one"
    if above.endswith('""') and row.startswith('""'):
        return f"line {last}: a comma is missing at its end; each text but the last has one"
    if (row.startswith("[") or re.match(r"\w+\s*=", row)) and _opens(rows[:last]):
        return f"line {number}: the list above it is not closed; write ] on a line before it"
    said = _within(row, refusal) or (
        f"{lower(_PLACE.sub('', refusal))}, found {short(rows[number - 1].strip())}; mend that line"
    )
    return f"line {number}: {said}"


def _within(row: str, refusal: str) -> str:
    """Say what is wrong within a line, its texts left empty; '' where that is not plain."""
    bare = _BARE.search(row)
    if _CURVED.search(row):
        return 'found a curved quotation mark; write straight ones, "..."'
    if row.startswith("[") and not row.startswith("[["):
        return f"found {short(row, quote=False)}; write [{row}], two brackets on either side"
    if "overwrite" in refusal:
        return f"'{row.partition('=')[0].strip()}' stands twice; keep one of them"
    if row.count('"') % 2:
        return 'a quotation mark is missing; a text stands between two, "..."'
    if row.count("{") > row.count("}"):
        return "a { is not closed; write } at its end"
    if bare and re.search("[A-Za-z]", bare[1]):
        word = bare[1].strip()
        return f'found {short(word, quote=False)}; write text and quantities in quotes, "{word}"'
    if _JOINED.search(row):
        return "a comma is missing between two keys; write one after each value"
    if re.search(r'\w\s*(:|\s)\s*""', row):
        return 'a value without its =; write key = "value"'
    return ""


def _plain(row: str) -> str:
    """A line without its comment, its texts left empty."""
    return re.sub(r'"[^"]*"', '""', row).split("#")[0].strip()


def _opens(rows: list[str]) -> bool:
    """Tell whether a list is still open after some lines."""
    bare = "\n".join(map(_plain, rows))
    return bare.count("[") > bare.count("]")
