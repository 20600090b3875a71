"""The command that draws a circuit."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated
from urllib.parse import quote

import typer

from labkit.cli.options import File, circuit_of
from labkit.cli.terminal import busy, out


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("draw")(draw)


def draw(
    file: File,
    svg: Annotated[
        Path | None, typer.Argument(metavar="SVG", help="The SVG file to write; the same as --to.")
    ] = None,
    to: Annotated[
        Path | None, typer.Option("-o", "--to", metavar="FILE", help="The SVG file to write.")
    ] = None,
    wires: Annotated[bool, typer.Option("--wires", help="Show wire numbers and colours.")] = False,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace the file.")] = False,
) -> None:
    """Draw a circuit as SVG.

    A boat of many circuits is drawn on sheets: the file shows what feeds her and a table of her
    circuits, and a folder beside it holds a sheet for each, to which the table leads.

    Example: labkit draw exercises/circuits/washdown.toml -o washdown.svg
    """
    from labkit.drawing import draw as drawn
    from labkit.drawing.sheets import draw_sheets, is_large
    from labkit.text.files import refuse_existing, write

    target = to or svg or Path(f"{file.stem}.svg")
    circuit = circuit_of(file, None, None, None)
    if not is_large(circuit):
        refuse_existing([target], overwrite)
        write(target, drawn(circuit, wires=wires).svg)
        out.print(f"wrote {target}", soft_wrap=True)
        return
    sheets = draw_sheets(circuit, wires=wires)
    folder = target.with_name(f"{target.stem}-sheets")
    refuse_existing([target, *(folder / one.file for one in sheets.circuits)], overwrite)
    with busy.status("drawing the circuits"):
        pages = {one.file: sheets.sheet(one, f"../{quote(target.name)}") for one in sheets.circuits}
        overview = sheets.overview(lambda one: f"{quote(folder.name)}/{one.file}")
    for name, sheet in pages.items():
        write(folder / name, sheet)
    write(target, overview)
    out.print(f"wrote {target}, and {len(sheets.circuits)} sheets in {folder}", soft_wrap=True)
