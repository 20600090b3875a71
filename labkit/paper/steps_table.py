"""The steps of a hunt as a table."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from labkit.diagnosis.phrases import how_much

_HEADINGS = ("step", "what you did", "it read", "suspects", "min", "it told you")


@dataclass(frozen=True)
class Row:
    """One step of a hunt.

    Attributes
    ----------
    did, shows : str
    before, left : int
        Suspects before and after it: a suspect is a part and a way in which it fails.
    minutes : float
        It took, with everything done since the step before.
    bits : float
        What it told about part and mode. [bit]
    remark : str
    """

    did: str
    shows: str
    before: int
    left: int
    minutes: float
    bits: float
    remark: str = ""

    @property
    def told(self) -> str:
        """How much it told, in words: about part and mode, or by what it struck out."""
        struck = math.log2(self.before / self.left) if self.left else self.before
        return how_much(max(self.bits, struck))

    @property
    def cells(self) -> tuple[str, ...]:
        """What a table shows of it, the number of the step apart."""
        told = f"{self.told}; {self.remark}" if self.remark else self.told
        suspects = f"{self.before} → {self.left}" if self.left != self.before else str(self.left)
        return self.did, self.shows, suspects, f"{self.minutes:.1f}", told


def as_text(rows: Sequence[Row]) -> str:
    """Write the table as a terminal shows it."""
    from rich import box
    from rich.console import Console
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for heading in _HEADINGS:
        table.add_column(heading, justify="right" if heading in ("step", "min") else "left")
    for number, row in enumerate(rows, 1):
        table.add_row(str(number), *row.cells)
    out = Console(
        file=io.StringIO(), width=96, color_system=None, force_jupyter=False, markup=False
    )
    out.print(table)
    lines = out.file.getvalue().splitlines()  # type: ignore[attr-defined]
    return "\n".join(line.rstrip() for line in lines).strip("\n")


_STYLE = (  # the class twice, since JupyterLab's own rules for tables are as particular as once
    ".labkit-steps{container-type:inline-size}"
    ".labkit-steps table{border-collapse:collapse}"
    ".labkit-steps caption{text-align:left}"
    ".labkit-steps.labkit-steps table :is(tr,th,td)"
    "{padding:.25em .5em;text-align:left;vertical-align:top}"
    "@container(max-width:32em){"  # on a narrow screen a step is two or three lines of text
    ".labkit-steps thead{display:none}"
    ".labkit-steps.labkit-steps table tr{display:block;padding:.3em 0;white-space:normal}"
    ".labkit-steps.labkit-steps table :is(th,td){display:inline;padding:0 .5em 0 0}"
    ".labkit-steps td::before{content:attr(data-label);opacity:.75}}"
)


def as_html(rows: Sequence[Row], caption: str) -> str:
    """Write the table as a page shows it."""
    head = "".join(f'<th scope="col">{heading}</th>' for heading in _HEADINGS)
    body = "".join(
        f'<tr><th scope="row">{number}</th>{_cells(row)}</tr>' for number, row in enumerate(rows, 1)
    )
    return (
        f'<style>{_STYLE}</style><div class="labkit-steps"><table>'
        f"<caption>{escape(caption)}</caption><thead><tr>{head}</tr></thead>"
        f"<tbody>{body}</tbody></table></div>"
    )


def _cells(row: Row) -> str:
    named = zip(("", "", "suspects ", "min ", "told "), row.cells, strict=True)
    return "".join(f'<td data-label="{label}">{escape(text)}</td>' for label, text in named)
