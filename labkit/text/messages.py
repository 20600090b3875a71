"""Errors a person can act on, and the hint that goes with a misspelt name."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from unicodedata import category


class CircuitError(ValueError):
    """One or more things wrong with a circuit, a file or what was asked of them.

    Attributes
    ----------
    problems : list of str
        One sentence each: where, what was found, what would be right.
    """

    def __init__(self, problems: Iterable[str]) -> None:
        self.problems = [printable(problem) for problem in problems]
        super().__init__("\n".join(self.problems))


class NoConvergenceError(ArithmeticError):
    """No operating point was found; the message names the parts still moving."""


def did_you_mean(word: str, known: Iterable[str], show: int = 8) -> str:
    """Return a hint: the closest known names, or the first few of all."""
    names = [str(name) for name in known]
    lower = {name.lower(): name for name in names}
    close = [lower[m] for m in get_close_matches(word.lower(), lower, n=2, cutoff=0.65)]
    if close:
        return "did you mean " + " or ".join(f"'{name}'" for name in close) + "?"
    if not names:
        return "there are none"
    more = ", ..." if len(names) > show else ""
    return "there are " + ", ".join(f"'{name}'" for name in names[:show]) + more


def unprintable(text: str) -> str:
    """Return the first letter that cannot stand on a page, in an SVG and in a terminal, or ''."""
    return next((letter for letter in text if not _printable(letter)), "")


def printable(text: str) -> str:
    """Return a text that can stand on a page and in a terminal, whoever wrote it.

    What would move a terminal's cursor or colour its letters becomes a replacement character.
    """
    if text.isprintable():  # most are, and it is said at once
        return text
    return "".join(letter if _printable(letter) else "\ufffd" for letter in text)


def _printable(letter: str) -> bool:
    noncharacter = ord(letter) & 0xFFFE == 0xFFFE or "\ufdd0" <= letter <= "\ufdef"
    return letter in "\n\t" or not (noncharacter or category(letter) in ("Cc", "Cs"))


def article(noun: str) -> str:
    """Put a or an before a noun, and nothing before one that is already many."""
    if noun == "electronics":
        return noun
    return f"{'an' if noun[:1] in 'aeiou' else 'a'} {noun}"


def counted(number: int, what: str) -> str:
    """A number of things in words: '1 step', '2 steps'."""
    return f"{number} {what}{'' if number == 1 else 's'}"
