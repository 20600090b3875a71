"""Help in plain words: what is typed, and not how the program holds it."""

from __future__ import annotations

import inspect
import re
import sys
from collections.abc import Callable, Collection
from copy import copy
from typing import Any, TypeVar

import typer
from typer.core import TyperCommand
from typer.models import CommandInfo

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
    """Commands, each with its help in plain words; only the one that is typed is made ready."""

    def __call__(self, args: list[str] | None = None, **options: Any) -> Any:
        """Run the command that stands in the words typed."""
        words = sys.argv[1:] if args is None else args
        return typer.Typer.__call__(self._ready_for(words), args, **options)

    def _ready_for(self, words: Collection[str]) -> Program:
        """Leave the signatures unread of commands that the words do not name.

        Reading all of them takes half of the time of ``--help``, which shows none.
        """
        ready = copy(self)
        ready.registered_commands = [
            entry if entry.name in words else _unread(entry) for entry in self.registered_commands
        ]
        ready.registered_groups = [copy(group) for group in self.registered_groups]
        for group in ready.registered_groups:
            if isinstance(group.typer_instance, Program):
                group.typer_instance = group.typer_instance._ready_for(words)
        return ready

    def command(  # type: ignore[override]
        self, name: str | None = None, **options: Any
    ) -> Callable[[_Command], _Command]:
        """Enter a function as a command."""
        options.setdefault("cls", PlainCommand)

        def enter(function: _Command) -> _Command:
            named = name or function.__name__.replace("_", "-")
            return super(Program, self).command(named, **options)(function)

        return enter


def _unread(entry: CommandInfo) -> CommandInfo:
    """Return a command's name and help, without what it takes."""
    listed = copy(entry)
    listed.help = entry.help or inspect.getdoc(entry.callback)
    listed.callback = _nothing
    return listed


def _nothing() -> None:
    """Stand in for a command that was not typed."""
