"""A whole boat on sheets: the panel as a table of circuits, and a sheet for each circuit.

Sheet 1 shows what feeds the boat, and below it every circuit in a line: which bus bar it hangs on,
what guards, switches and uses it, and its sheet. The others show a circuit each. Test points and
nodes have the numbers and names they have aboard, so that sheets meet where their nodes do.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from labkit.circuits.circuit import Circuit
from labkit.circuits.extract import Extract, extract
from labkit.circuits.structure import Group, structure_of
from labkit.circuits.tracing import NEGATIVE, Run
from labkit.drawing.drawing import Drawing, draw
from labkit.drawing.table import Row, under
from labkit.parts import Part, Trait

LARGE = 60
"""Circuits of more parts are drawn on sheets. Our choice. [parts]"""

CIRCUITS = 8
"""Of so many circuits at least. Our choice."""

HEADS = ("sheet", "circuit", "guarded by", "switch", "feeds", "back to")


@dataclass(frozen=True)
class Sheet:
    """One circuit of a boat, on a sheet of its own.

    Attributes
    ----------
    number : int
    name : str
    circuit : Extract
        Its runs; more than its parts is not to be solved.
    bar, back : str
        Bus bars it hangs on and leads back to.
    guarded, switched, feeds : str
        Its protection, what switches it, its loads: ids with what is known of them.
    wires : bool
        Whether numbers and colours of wires are written.
    """

    number: int
    name: str
    circuit: Extract
    bar: str
    back: str
    guarded: str
    switched: str
    feeds: str
    wires: bool = False

    @property
    def title(self) -> str:
        """What stands above it."""
        return f"Sheet {self.number}: {self.name}"

    @property
    def file(self) -> str:
        """A name for its file: '07-anchor-light.svg'."""
        words = re.sub(r"[^a-z0-9]+", "-", self.name.lower()).strip("-")
        return f"{self.number:02}-{words or 'circuit'}.svg"

    @property
    def line(self) -> tuple[str, ...]:
        """Its line in the table of circuits, under HEADS."""
        return (
            str(self.number),
            self.name,
            self.guarded,
            self.switched,
            self.feeds,
            self.back,
        )

    @cached_property
    def drawing(self) -> Drawing:
        """The circuit drawn."""
        return draw(self.circuit, wires=self.wires)


@dataclass(frozen=True)
class Sheets:
    """A whole boat on sheets.

    Attributes
    ----------
    boat : Circuit
    feeds : Drawing
        What feeds her: sources, main fuses, feeders.
    circuits : tuple of Sheet
        By the bus bars they hang on, else in the order of the file; numbered from 2.
    """

    boat: Circuit
    feeds: Drawing
    circuits: tuple[Sheet, ...]

    @property
    def by_bar(self) -> dict[str, list[Sheet]]:
        """Circuits by the bus bar they hang on."""
        found: dict[str, list[Sheet]] = {}
        for sheet in self.circuits:
            found.setdefault(sheet.bar, []).append(sheet)
        return found

    def overview(self, link: Callable[[Sheet], str] | None = None) -> str:
        """Sheet 1 as SVG, each line of the table a link to its sheet where `link` names one."""
        rows: list[Row] = []
        for bar, sheets in self.by_bar.items():
            rows.append(Row((f"from {shown(bar)}",), heads=True))
            rows += [Row(sheet.line, link(sheet) if link else "") for sheet in sheets]
        return under(self.feeds, f"Sheet 1: {self.boat.title}", HEADS, rows)

    def sheet(self, one: Sheet, home: str = "") -> str:
        """One circuit's sheet as SVG; `home` is where the line to sheet 1 leads."""
        where = f"from {shown(one.bar)} (sheet 1), back to {one.back}"
        return under(one.drawing, one.title, (), [Row((where,), home)])


def is_large(circuit: Circuit) -> bool:
    """Tell whether a circuit is better drawn on sheets."""
    if len(circuit.parts) <= LARGE:
        return False
    groups = structure_of(circuit.runs, circuit.parts.values()).groups
    return sum(bool(group.loads) for group in groups) >= CIRCUITS


def draw_sheets(circuit: Circuit, wires: bool = False) -> Sheets:
    """Draw a boat on sheets; each is drawn when it is first asked for.

    Parameters
    ----------
    circuit : Circuit
    wires : bool
        Write the number and colour of each wire that has them.
    """
    feeding, used = _cut(circuit)
    sheets = tuple(_sheet(circuit, group, n, wires) for n, group in enumerate(used, 2))
    return Sheets(circuit, draw(extract(circuit, feeding), wires=wires), sheets)


@dataclass(frozen=True)
class Page:
    """What stands on one sheet, whatever the state the boat is in.

    Attributes
    ----------
    number : int
    name : str
    runs : tuple of Run
    nodes : tuple of str
        Bus bars on it, and other nodes with a name, in the order met.
    parts : frozenset of str
        Ids.
    """

    number: int
    name: str
    runs: tuple[Run, ...]
    nodes: tuple[str, ...]
    parts: frozenset[str]

    def holds(self, what: str) -> bool:
        """Tell whether a part, a terminal, a named node or a run stands on it."""
        known = {*self.parts, *self.nodes, *(run.name for run in self.runs)}
        return what in known or what.partition(":")[0] in self.parts

    def of(self, circuit: Circuit) -> Extract:
        """What stands on it of the boat as she is now, with clips that have both ends here."""
        found = extract(circuit, self.runs, f"{circuit.title}, sheet {self.number}: {self.name}")
        clips = []
        for clip in circuit.bridges:
            ends = [
                end if end in found.node_of else circuit.node_of[end]
                for end in (clip.first, clip.second)
            ]
            if all(end in found.node_of for end in ends):
                clips.append(replace(clip, first=ends[0], second=ends[1]))
        return replace(found, bridges=tuple(clips))


def pages_of(circuit: Circuit) -> tuple[Page, ...]:
    """What stands on each sheet of a boat: first what feeds her, then her circuits, numbered."""
    structure = structure_of(circuit.runs, circuit.parts.values())
    feeding, used = _cut(circuit)
    named = [("what feeds her", tuple(feeding))]
    named += [(group.runs[0].name, group.runs) for group in used]
    made = []
    for number, (name, runs) in enumerate(named, 1):
        met = (m for r in runs for s in r.passes for m in (r.start, s.first, s.second, r.end))
        nodes = tuple(dict.fromkeys(structure.label[m] for m in met))
        parts = frozenset(step.part for run in runs for step in run.passes)
        made.append(Page(number, name, runs, tuple(n for n in nodes if ":" not in n), parts))
    return tuple(made)


def _cut(circuit: Circuit) -> tuple[list[Run], list[Group]]:
    """Runs that feed a boat, and her circuits by the bus bars they hang on."""
    groups = structure_of(circuit.runs, circuit.parts.values()).groups
    seen = {id for id, part in circuit.parts.items() if not part.hidden}
    used = [group for group in groups if group.loads and group.parts & seen]
    bars = list(dict.fromkeys(map(_bar, used)))
    used.sort(key=lambda group: bars.index(_bar(group)))
    return [run for group in groups if group not in used for run in group.runs], used


def _bar(group: Group) -> str:
    return next((bar for bar in group.bars if bar != NEGATIVE), NEGATIVE)


def _sheet(circuit: Circuit, group: Group, number: int, wires: bool) -> Sheet:
    parts = [part for id, part in circuit.parts.items() if id in group.parts]
    back = NEGATIVE if NEGATIVE in group.bars else group.bars[-1]
    name = group.runs[0].name
    return Sheet(
        number,
        name,
        extract(circuit, group.runs, name),
        _bar(group),
        shown(back),
        _listed(f"{p.id} {p.shown_rating}".strip() for p in parts if Trait.PROTECTION in p.traits),
        _listed(f"{p.id} {circuit.positions[p.id]}" for p in parts if _switches(p)),
        _listed(f"{p.id} {p.label or p.kind}" for p in parts if p.id in group.loads),
        wires,
    )


def _switches(part: Part) -> bool:
    """Tell whether a hand or a float makes and breaks it, as no plug is meant to."""
    return bool(part.off() or Trait.THROWS in part.traits) and Trait.PROTECTION not in part.traits


def _listed(words: Iterable[str]) -> str:
    return ", ".join(words) or "–"


def shown(node: str) -> str:
    """A node as drawings write it."""
    return node.replace("DC-", "DC−")
