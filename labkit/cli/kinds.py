"""The command that explains a circuit file and its kinds of parts: kinds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from labkit.cli.terminal import new_table, out

if TYPE_CHECKING:
    from labkit.desk.part_kinds import Key


def register(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(kinds)


def kinds(
    name: Annotated[
        list[str] | None, typer.Argument(metavar="KIND", help="A kind, such as battery.")
    ] = None,
) -> None:
    """Explain how a circuit file is written.

    Without a name: one example that grows, and every kind of part there is. With one: its keys,
    with units and what holds where they are left out, and how it fails.

    Example: labkit kinds battery
    """
    if name:
        _print_kind(" ".join(name))
        return
    from labkit.desk.part_kinds import example_steps, keys_of, says, written
    from labkit.parts import KINDS, Part

    for number, (text, lines) in enumerate(example_steps(), 1):
        out.print(f"{number}. {text}", soft_wrap=True, markup=False)
        out.print()
        out.print(
            "\n".join(f"    {line}" for line in lines.splitlines()), soft_wrap=True, markup=False
        )
        out.print()
    out.print("Every kind of part ('labkit kinds NAME' explains one):")
    for kind in KINDS.values():
        out.print(f"  {written(kind)}", soft_wrap=True, markup=False)
        out.print(f"      {says(kind)}", soft_wrap=True, markup=False)
    out.print()
    _print_keys("Keys that every part takes", keys_of(Part, common=True))


def _print_kind(name: str) -> None:
    from labkit.desk.part_kinds import DOUBT, fails, keys_of, kind_named, passes, says, written

    kind = kind_named(name)
    out.print(f"{kind.kind}: {says(kind)}", soft_wrap=True, markup=False)
    out.print(f"  {written(kind)}", soft_wrap=True, markup=False)
    own = keys_of(kind)
    if own:
        _print_keys("Its own keys", own)
    _print_keys("Keys that every part takes", keys_of(kind, common=True))
    if any(key.usual for key in own):
        out.print(DOUBT, soft_wrap=True, markup=False)
    out.print(f"Terminals: {passes(kind)}", soft_wrap=True, markup=False)
    if kind.choices:
        out.print(f"Positions: {', '.join(kind.choices)}", soft_wrap=True, markup=False)
    out.print(f"Fails by: {'; '.join(fails(kind))}", soft_wrap=True, markup=False)


def _print_keys(title: str, keys: list[Key]) -> None:
    table = new_table(title)
    doubted = any(key.usual for key in keys)
    for heading in ("key", "such as", "left out", *(['"?" takes'] if doubted else []), "means"):
        table.add_column(heading, overflow="fold")
    for key in keys:
        usual = [key.usual] if doubted else []
        table.add_row(key.name, key.example, key.otherwise, *usual, key.means)
    out.print(table)
