"""Help in plain words: what is typed, and not how the program holds it."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypeVar

import typer
from typer.core import TyperCommand

_Command = TypeVar("_Command", bound=Callable[..., Any])

_TYPE = re.compile(r" <[^>]*>$")
_BRACES = re.compile(r"\{(.*?)\}")
_FROM = re.compile(r"\bx>=(\d+)")
_BETWEEN = re.compile(r"\b(\d+)<=x<=(\d+)")


class PlainCommand(TyperCommand):
    """A command whose help names no types of the program."""

    def collect_usage_pieces(self, ctx: Any) -> list[str]:
        """Name the arguments; what may be left out stands in brackets."""
        return [_BRACES.sub(r"\1", piece) for piece in super().collect_usage_pieces(ctx)]

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """List arguments and options, each with what it means."""
        super().format_options(ctx, _Plain(formatter))  # type: ignore[arg-type]


class _Plain:
    """A formatter that puts rows into plain words before they are laid out."""

    def __init__(self, formatter: Any) -> None:
        self._formatter = formatter

    def __getattr__(self, name: str) -> Any:
        return getattr(self._formatter, name)

    def write_dl(self, rows: list[tuple[str, str]], **layout: Any) -> None:
        self._formatter.write_dl(
            [(_TYPE.sub("", name), _ranges(help)) for name, help in rows], **layout
        )


def _ranges(help: str) -> str:
    return _BETWEEN.sub(r"\1 to \2", _FROM.sub(r"\1 or more", help))


class Program(typer.Typer):
    """Commands, each with its help in plain words."""

    def command(  # type: ignore[override]
        self, name: str | None = None, **options: Any
    ) -> Callable[[_Command], _Command]:
        """Enter a function as a command."""
        options.setdefault("cls", PlainCommand)
        return super().command(name, **options)
