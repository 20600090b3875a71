"""The words of the trade, each with its meaning, as a page shows it under the word."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@dataclass(frozen=True)
class Term:
    """A word of the trade.

    Attributes
    ----------
    word : str
    means : str
        In plain English, a sentence or two.
    forms : tuple of str
        How it stands in a text, the word itself with them.
    """

    word: str
    means: str
    forms: tuple[str, ...]


@cache
def glossary() -> tuple[Term, ...]:
    """Return the terms, by their words."""
    table = tomllib.loads(files("labkit.text").joinpath("glossary.toml").read_text("utf-8"))
    return tuple(
        Term(word, entry["means"], (word, *entry.get("forms", ()))) for word, entry in table.items()
    )
