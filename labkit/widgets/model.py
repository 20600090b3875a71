"""What a bench on screen does, without a screen: leads in hand, acts on offer, words for the log.

Both benches share it; it talks to :class:`labkit.bench.Bench` and holds no circuit of its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from labkit.bench import Bench, Entry
from labkit.drawing import Drawing
from labkit.messages import CircuitError
from labkit.meter import FUNCTIONS, Reading
from labkit.parts import Part
from labkit.senses import LOADS
from labkit.widgets.places import Place, drawing_of, named, places, terminals, visible_parts

Option = tuple[str, str]
"""What a list shows, and what it stands for."""

BLANK = "- - - -"
"""On the meter's display before it was read, and after something was moved."""

FUSES = tuple(f"{rating:g} A" for rating in (1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 60))
"""Ratings in the fuse box. Common practice, no source."""


@dataclass(frozen=True)
class Field:
    """One thing to choose before an act: its name to the bench, its label, what there is."""

    name: str
    label: str
    options: tuple[Option, ...]


@dataclass(frozen=True)
class Offer:
    """An act on offer."""

    action: str
    label: str
    fields: tuple[Field, ...]


class BenchModel:
    """The state of a bench on screen.

    Parameters
    ----------
    bench : Bench
    live : bool
        The meter goes on reading: putting the second lead, or moving a switch under the leads,
        takes a reading by itself.

    Attributes
    ----------
    red, black : str
        Where the leads are, as the bench calls it; '' in the air.
    function : str
        Of the meter.
    message : str
        What the last act showed, or why it was not done.
    hazards : list of str
        What was dangerous in it.
    """

    def __init__(self, bench: Bench, live: bool = False) -> None:
        self.bench, self.live = bench, live
        self.red = self.black = ""
        self.function = "volts"
        self.reading: Reading | None = None
        self.message = ""
        self.hazards: list[str] = []
        self._drawn: tuple[object, Drawing] | None = None

    # -- what there is ---------------------------------------------------------------------

    @property
    def drawing(self) -> Drawing:
        """The circuit as seen, drawn again only when that changed."""
        bench, seen = self.bench, self.bench.drawn
        bridges = tuple((b.id, b.first, b.second) for b in seen.bridges)
        state = (
            tuple(seen.positions.items()), seen.parted, bridges, frozenset(bench.seen_open),
            frozenset(bench.pulled), frozenset(bench.traced),
        )  # fmt: skip
        if self._drawn is None or self._drawn[0] != state:
            self._drawn = (state, drawing_of(bench))
        return self._drawn[1]

    @property
    def places(self) -> list[Place]:
        """Where a lead can be put."""
        return places(self.bench, self.drawing)

    def place(self, key: str) -> Place | None:
        """The place of that terminal or node, or None in the air."""
        if not key:
            return None
        node_of, found = self.bench.drawn.node_of, self.places
        node = node_of.get(key)
        return next((p for p in found if node_of.get(p.key) == node), None)

    @property
    def points(self) -> list[Option]:
        """Places as a list offers them: terminals for the clamp, which goes round one wire."""
        if self.function != "clamp":
            return [(place.label, place.key) for place in self.places]
        parts, found = self.bench.drawn.parts, []
        for terminal in terminals(self.bench):
            part, place = parts[terminal.split(":")[0]], self.place(terminal)
            at = f", at {place.number}" if place else ""
            found.append((f"{terminal}, {part.label or part.kind}{at}", terminal))
        return found

    @cached_property
    def functions(self) -> list[Option]:
        """Functions of the meter."""
        return [(f"{name}: {made.says}", name) for name, made in FUNCTIONS.items()]

    @property
    def switches(self) -> list[tuple[Part, tuple[str, ...], str]]:
        """Parts moved by hand: the part, its positions, where it is."""
        seen = self.bench.drawn
        return [
            (part, part.choices or tuple(getattr(part, "positions", ())), seen.positions[part.id])
            for part in visible_parts(self.bench)
            if part.id in seen.positions
        ]

    @property
    def offers(self) -> list[Offer]:
        """Acts other than reading and moving switches, with what can be chosen for each."""
        bench, parts = self.bench, visible_parts(self.bench)
        points = tuple(self.points)
        ends = [t for t in terminals(bench) if t not in bench.drawn.parted]
        fuses = [part for part in parts if part.kind in ("fuse", "breaker")]
        pulled = [part for part in fuses if part.id in bench.pulled]
        loads = _parts(part for part in parts if part.kind in LOADS)
        two = (Field("first", "from", points), Field("second", "to", points))
        ratings = (("of its own rating", ""), *((size, size) for size in FUSES))
        runs = tuple(
            (f"{run.name}, {run.start} to {run.end}", run.name) for run in bench.drawn.runs
        )
        offered = [
            Offer("look", "Look and listen", (Field("id", "at", loads),)),
            Offer("pull", "Pull and look at", (Field("id", "the fuse", _parts(
                part for part in fuses if part not in pulled)),)),
            Offer("fit", "Fit or reset", (
                Field("id", "the fuse", _parts(pulled or fuses)),
                Field("rating", "with one", ratings))),
            Offer("part", "Take a connection apart", (Field("terminal", "at", _same(ends)),)),
            Offer("join", "Join again", (
                Field("terminal", "at", _same(sorted(bench.drawn.parted))),)),
            Offer("jumper", "Put the fused jumper", two),
            Offer("test lamp", "Put the test lamp", two),
            Offer("lift", "Take away", (
                Field("what", "the", _same(b.id for b in bench.drawn.bridges)),)),
            Offer("wiggle", "Wiggle", (
                Field("id", "the part", _parts(parts)), Field("look_at", "while watching", loads))),
            Offer("trace", "Follow by eye and hand", (Field("run", "the run", runs),)),
            Offer("repair", "Mend or replace", (Field("id", "the part", _parts(parts)),)),
        ]  # fmt: skip
        return [offer for offer in offered if all(field.options for field in offer.fields)]

    # -- what is done -----------------------------------------------------------------------

    def put(self, lead: str, key: str) -> None:
        """Put a lead ('red' or 'black') on a place; '' lifts it off."""
        setattr(self, lead, key)
        self._blank()
        self._watch()

    def swap(self) -> None:
        """Change the leads over."""
        self.red, self.black = self.black, self.red
        self._blank()
        self._watch()

    def turn_to(self, function: str) -> None:
        """Choose the meter's function."""
        self.function = function
        place = self.place(self.red)
        if function == "clamp" and place and ":" not in self.red:
            self.red = place.terminals[0]
        self._blank()
        self._watch()

    @property
    def ready(self) -> bool:
        """The leads are where this function needs them."""
        return bool(self.red and (self.black or self.function == "clamp"))

    def read(self) -> bool:
        """Read the meter where the leads are."""
        if not self.ready:
            lead = "Put the red lead" if not self.red else "Put the black lead"
            self.message, self.hazards = f"{lead} on a test point first.", []
            return False
        args = {"red": self.red, "black": self.black or "DC-", "function": self.function}
        return self.do("read", **args)

    def do(self, action: str, **args: str) -> bool:
        """Do something; what it showed, or why it was not done, is then in `message`."""
        self.hazards = []
        try:
            entry = self.bench.act(action, **args)
        except CircuitError as error:
            self.message = " ".join(_sentence(problem) for problem in error.problems)
            return False
        self.message = self.line(entry)
        self.hazards = [hazard.text for hazard in entry.hazards]
        if action == "read":
            self.reading = entry.reading
            return True
        self._settle_leads()
        self._blank()
        self._watch()
        return True

    def again(self, number: int) -> bool:
        """Do again what stands at that number of the log, with the leads where they were."""
        if not 1 <= number <= len(self.bench.log):
            self.message, self.hazards = f"There is no line {number} in the log.", []
            return False
        entry = self.bench.log[number - 1]
        if entry.action != "read":
            return self.do(entry.action, **entry.args)
        self.red, self.function = entry.args["red"], entry.args["function"]
        self.black = "" if self.function == "clamp" else entry.args["black"]
        return self.read()

    def _blank(self) -> None:
        self.reading = None

    def _watch(self) -> None:
        """Read by itself, where the meter goes on reading; what was dangerous before stays said."""
        if not (self.live and self.ready):
            return
        said, hazards = self.message, self.hazards
        acted = self.bench.log[-1:] and self.bench.log[-1].action != "read"
        self.read()
        if acted and hazards:
            self.hazards = [*hazards, *self.hazards]
            self.message = said

    def _settle_leads(self) -> None:
        """Lift a lead off a place that is no more."""
        known = self.bench.drawn.node_of
        self.red = self.red if self.red in known else ""
        self.black = self.black if self.black in known else ""

    # -- words --------------------------------------------------------------------------------

    @property
    def display(self) -> str:
        """What the meter shows."""
        if self.reading is None:
            return BLANK
        return self.reading.display.replace("-", "\N{MINUS SIGN}").replace("ohm", "Ω")

    @property
    def spoken(self) -> str:
        """What the meter shows, as a sentence."""
        return self.reading.spoken if self.reading else ""

    @property
    def minutes(self) -> str:
        """Minutes spent, in words."""
        return f"{self.bench.minutes:.1f} min"

    def line(self, entry: Entry) -> str:
        """A line of the log."""
        args = entry.args
        shows = entry.shows.replace("ohm", "Ω") if entry.action == "read" else entry.shows
        if entry.action == "read":
            red, black = self._short(args["red"]), self._short(args["black"])
            where = f"{red}" if args["function"] == "clamp" else f"red {red}, black {black}"
            done = f"{args['function']}, {where}"
        elif entry.action in ("jumper", "test lamp"):
            done = f"{entry.action} {self._short(args['first'])} to {self._short(args['second'])}"
        elif entry.action == "wiggle":
            done = f"wiggle {args['id']}"
        else:
            done = " ".join((entry.action, *(v for v in args.values() if v != entry.shows)))
        return f"{done}: {shows}"

    def _short(self, key: str) -> str:
        place = self.place(key)
        return f"{place.number} ({key})" if place else key


def _parts(parts: Iterable[Part]) -> tuple[Option, ...]:
    return tuple((named(part), part.id) for part in parts)


def _same(words: Iterable[str]) -> tuple[Option, ...]:
    return tuple((word, word) for word in words)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?")) else ".")
