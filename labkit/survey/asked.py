"""What a wire is to do, as somebody types it: texts in, a Wanted or sentences out."""

from __future__ import annotations

import re
from collections.abc import Mapping

from labkit.survey.sizing import Wanted
from labkit.text.messages import CircuitError
from labkit.text.quantities import (
    CURRENT,
    FRACTION,
    LENGTH,
    TEMPERATURE,
    VOLTAGE,
    Kind,
    QuantityError,
    shorten,
)

KEYS: Mapping[str, Kind] = {
    "current": CURRENT, "length": LENGTH, "system": VOLTAGE, "drop": FRACTION,
    "insulation": TEMPERATURE, "fuse": CURRENT,
}  # fmt: skip  # rows that a reader compares
"""What can be said of a wire in a text, and what kind of quantity it is."""

_BARE = re.compile(r"\s*\d+(?:[.,]\d+)?\s*")
_COMMA = re.compile(r"(?<=\d),(?=\d)")


def wanted_from(
    texts: Mapping[str, str],
    bundle: int = 1,
    engine_space: bool = False,
    where: str = "",
    bare: bool = False,
) -> Wanted:
    """Read what a wire is to do.

    Parameters
    ----------
    texts : mapping of str to str
        Of KEYS; what is left out or empty is as usual.
    bundle : int
        Wires that carry current in one bundle, itself counted.
    engine_space : bool
    where : str
        What stands before a key in a sentence, such as '--'.
    bare : bool
        Whether a number alone takes the first unit of its kind, and a decimal comma is read.

    Raises
    ------
    CircuitError
        With a sentence for each text that cannot be read.
    """
    problems, values = [], {}
    for key, text in texts.items():
        kind = KEYS[key]
        if not text.strip():
            continue
        typed = _COMMA.sub(".", text) if bare else text
        if bare and _BARE.fullmatch(text):
            typed += f" {next(iter(kind.units))}"
        try:
            values[key] = kind.parse(typed)
        except QuantityError as error:
            problems.append(f"{where}{key}: {error}")
            continue
        if values[key] <= 0:
            problems.append(
                f'{where}{key}: found "{shorten(text)}"; write more than 0, '
                f'such as "{kind.example}"'
            )
        elif key == "insulation" and values[key] < 60:
            problems.append(f'{where}{key}: found "{shorten(text)}"; the table begins at 60 C')
    if problems:
        raise CircuitError(problems)
    return Wanted(**values, bundle=bundle, engine_space=engine_space)
