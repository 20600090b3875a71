"""What a bench on screen does, without a screen: leads in hand, acts on offer, words for the log.

Both benches share it; it talks to :class:`.bench.Bench` and holds no circuit of its own.
"""

from __future__ import annotations

from functools import cached_property

from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench, Entry
from labkit.circuits.circuit import Circuit, visible_parts
from labkit.drawing import Drawing
from labkit.measuring.meter import FUNCTIONS, Reading
from labkit.parts import Part
from labkit.questions.fields import Option
from labkit.text.messages import CircuitError
from labkit.widgets.bench_drawing import BenchDrawing
from labkit.widgets.by_sheet import by_sheet
from labkit.widgets.hands import BLANK, CLIPS, HANDS
from labkit.widgets.line import Line, sentence, typeset
from labkit.widgets.offers import Act, Offer, offers, operating
from labkit.widgets.places import Place, places, terminal_places, undrawn
from labkit.widgets.sights import Sights


class BenchModel:
    """The state of a bench on screen.

    Parameters
    ----------
    bench : Bench
    live : bool
        The meter goes on reading: putting the second lead, or moving a switch under the leads,
        takes a reading by itself.
    about : str
        The load that is complained of, with whose sheet a large boat begins.

    Attributes
    ----------
    sheets : BySheet or None
        Of a boat too large for one drawing.
    on_bench : BenchDrawing
        Its drawing, as wide as the page has room for.
    red, black : str
        Where the leads are, as the bench calls it; '' in the air.
    function : str
        Of the meter.
    hand : str
        What a touch uses, one of HANDS.
    clip : str
        Where the first end of the jumper or test lamp in hand is; '' until it is put.
    message : str
        What the last act showed, or why it was not done.
    hazards : list of str
        What was dangerous in it.
    """

    def __init__(self, bench: Bench, live: bool = False, about: str = "") -> None:
        self.bench, self.live = bench, live
        self.sheets = by_sheet(bench.drawn, about)
        self.on_bench = BenchDrawing(bench, self.sheets)
        self.red = self.black = self.clip = ""
        self._sights = Sights(bench)
        self._undo: list[tuple[str, str, Reading | None]] = []
        self.function, self.hand = "volts", "both"
        self.reading: Reading | None = None
        self.message = ""
        self.hazards: list[str] = []
        self._lines: list[Line] = []
        self._seen: tuple[Circuit, Circuit] | None = None
        self._placed: tuple[Drawing, dict[bool, list[Place]]] | None = None
        self._all: tuple[object, list[Place]] | None = None

    # -- what there is ---------------------------------------------------------------------

    @property
    def seen(self) -> Circuit:
        """The circuit as the person at it sees it, made anew only when it changed."""
        if self._seen is None or self._seen[0] is not self.bench.circuit:
            self._seen = (self.bench.circuit, self.bench.drawn)
        return self._seen[1]

    @property
    def drawing(self) -> Drawing:
        """The circuit as seen, or the sheet of it, drawn again only when that changed."""
        return self.on_bench.drawing(self.seen, self._sights.now)

    @property
    def places(self) -> list[Place]:
        """Where a lead can be put, or the clamp, which goes round one wire."""
        return self._listed(self.function == "clamp")

    @property
    def at_terminals(self) -> bool:
        """What is in hand goes to one terminal, not to all that is connected there."""
        return self.hand == "take apart" or (self.function == "clamp" and self.hand not in CLIPS)

    @property
    def targets(self) -> list[Place]:
        """Where what is in hand can be used."""
        return self._listed(self.at_terminals)

    def _listed(self, single: bool) -> list[Place]:
        """Terminals one by one, or test points; listed anew only when the drawing changed."""
        if self._placed is None or self._placed[0] is not self.drawing:
            self._placed = (self.drawing, {})
        found = self._placed[1]
        if single not in found:
            listed = terminal_places if single else places
            found[single] = listed(self.seen, self.bench.traced, self.drawing)
        return found[single]

    @property
    def everywhere(self) -> list[Place]:
        """Where a lead can be put aboard, on this sheet or another."""
        if not self.sheets:
            return self._listed(False)
        traced = frozenset(self.bench.traced)
        now = self.seen.parted, traced
        if self._all is None or self._all[0] != now:
            self._all = now, places(self.seen, traced, undrawn(self.seen, traced))
        return self._all[1]

    @property
    def held(self) -> list[tuple[str, Place]]:
        """What is seen to be on a point by hand: the leads, and the first end of a clip."""
        where = [("red", self.red), ("black", self.black), (self.hand, self.clip)]
        found = [(what, self._at(key, self.places)) for what, key in where]
        return [(what, place) for what, place in found if place]

    @property
    def parts(self) -> list[Part]:
        """Parts that are drawn, in tracing order."""
        return visible_parts(self.seen, self.bench.traced)

    def place(self, key: str) -> Place | None:
        """The place of that terminal or node, on this sheet if it is there; None in the air."""
        return self._at(key, self.places) or self._at(key, self.everywhere)

    def _at(self, key: str, found: list[Place]) -> Place | None:
        node_of = self.seen.node_of
        here = (p for p in found if p.key == key)
        there = (p for p in found if key and node_of.get(p.key) == node_of.get(key))
        return next(here, None) or next(there, None)

    @property
    def points(self) -> list[Option]:
        """Places as a list offers them."""
        return [(p.label, p.key) for p in (self.everywhere if self.sheets else self.places)]

    @cached_property
    def functions(self) -> list[Option]:
        """Functions of the meter."""
        return [(f"{name}: {made.says}", name) for name, made in FUNCTIONS.items()]

    @property
    def switches(self) -> list[tuple[Part, tuple[str, ...], str]]:
        """Parts moved by hand: the part, its positions, where it is."""
        seen = self.seen
        return [
            (part, part.settings(), seen.positions[part.id])
            for part in self.parts
            if part.id in seen.positions and part.settings()  # heat alone moves a cut-out
        ]

    @property
    def offers(self) -> list[Offer]:
        """Acts other than reading and moving switches, with what can be chosen for each."""
        return offers(self.bench, self.seen, self.everywhere)

    # -- what is done -----------------------------------------------------------------------

    def touch(self, key: str) -> None:
        """Use what is in hand at a place; of both leads red, then black, then red again."""
        if self.hand in CLIPS:
            self._clip_on(key)
        elif self.hand == "take apart":
            self.do("join" if key in self.seen.parted else "part", terminal=key)
        elif self.function == "clamp" or self.hand == "red":
            self.put("red", key)
        elif self.hand == "black" or (self.red and not self.black):
            self.put("black", key)
        else:
            self._remember()
            self.red, self.black = key, ""
            self._moved(f"Red lead {self.where(key)}.")

    def put(self, lead: str, key: str) -> None:
        """Put a lead ('red' or 'black') on a place; '' lifts it off."""
        self._remember()
        if lead == "red":
            self.red = key
        else:
            self.black = key
        self._moved(f"{lead.capitalize()} lead {self.where(key)}.")

    def undo(self) -> None:
        """Put the leads back where they were before they were last moved.

        What was read in between stays in the log, with its minutes.
        """
        self.hazards = []
        if not self._undo:
            self.message = "No lead was moved yet."
            return
        self.red, self.black, self.reading = self._undo.pop()
        self._settle_leads()
        red, black = self.where(self.red), self.where(self.black)
        self.message = f"As before: red lead {red}, black lead {black}."

    def _clip_on(self, key: str) -> None:
        """Put one end of what is in hand, then the other; then the leads are in hand again."""
        what, first = self.hand, self.clip
        self.hazards = []
        if not first:
            self.clip = key
            self.message = f"One end of the {what} {self.where(key)}; choose where the other goes."
        elif key == first:
            self.lift()
        else:
            self.clip, self.hand = "", "both"
            self.do(what, first=first, second=key)

    def swap(self) -> None:
        """Change the leads over."""
        self._remember()
        self.red, self.black = self.black, self.red
        self._moved("The leads are changed over.")

    def lift(self) -> None:
        """Take off the one end of a clip that is on, or else both leads."""
        if self.clip:
            self.clip, self.hazards = "", []
            self.message = f"The {self.hand} is off again."
        else:
            self._remember()
            self.red = self.black = ""
            self._moved("Both leads are off.")

    def _remember(self) -> None:
        """Keep where the leads are, for whoever moves them by mistake."""
        self._undo = [*self._undo[-9:], (self.red, self.black, self.reading)]

    def turn_sheet(self, number: int) -> None:
        """Have another sheet of a large boat before one; leads and clips stay where they are."""
        if self.sheets and self.sheets.turn_to(number):
            self.message = f"Sheet {number}: {self.sheets.page.name}."
            self.hazards = []

    def take(self, hand: str) -> None:
        """Take in hand what a touch is to use, one of HANDS."""
        self.hand, self.clip, self.hazards = hand if hand in HANDS else "both", "", []
        self.message = HANDS[self.hand]

    def turn_to(self, function: str) -> None:
        """Choose the meter's function."""
        place = self.place(self.red)
        self.function = function
        if function == "clamp":
            self.black = ""
            if place and ":" not in self.red:
                self.red = place.terminals[0]
        self._moved()

    def operate(self, id: str) -> bool:
        """Do to a part what one does to it: move a switch, pull a fuse, look at a load."""
        action, args = self.handled(id)
        return self.do(action, **args)

    def handled(self, id: str) -> Act:
        """The act that operating a part would be."""
        return operating(self.bench, self.seen, id)

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
        """Do something; what it showed, or why it was not done, is then in `message`.

        What the meter reads is not said there a second time: `display` and `spoken` have it.
        """
        self.hazards = []
        try:
            entry = self.bench.act(action, **args)
        except CircuitError as error:
            self.message = " ".join(sentence(problem) for problem in error.problems)
            return False
        if self.sheets and action != "read":
            self.sheets.follow(args.values())
        self.message = "" if action == "read" else str(self.lines[-1])
        self.hazards = [hazard.text for hazard in entry.hazards]
        if action == "read":
            self.reading = entry.reading
            return True
        self._settle_leads()
        if ACTS[action].changes:
            self._under_the_leads()
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
        if self.sheets:
            self.sheets.follow([self.red])
        return self.read()

    def _moved(self, said: str = "") -> None:
        """A lead or the function changed: what was said is past, and the display blank."""
        self.message, self.hazards, self.reading = said, [], None
        if self.live and self.ready:
            self.read()

    def _under_the_leads(self) -> None:
        """Something changed while the leads were on; what it showed stays said."""
        self._undo.clear()  # a reading before it no longer holds
        self.reading = None
        if self.live and self.ready:
            said, hazards = self.message, self.hazards
            self.read()
            self.message, self.hazards = said, [*hazards, *self.hazards]

    def _settle_leads(self) -> None:
        """Lift a lead off a place that is no more."""
        known = self.seen.node_of
        self.red = self.red if self.red in known else ""
        self.black = self.black if self.black in known else ""
        self.clip = self.clip if self.clip in known else ""

    # -- words --------------------------------------------------------------------------------

    @property
    def display(self) -> str:
        """What the meter shows."""
        return BLANK if self.reading is None else typeset(self.reading.display)

    @property
    def spoken(self) -> str:
        """What the meter shows, as a sentence."""
        return self.reading.spoken if self.reading else ""

    @property
    def minutes(self) -> str:
        """Minutes spent, in words."""
        return f"{self.bench.minutes:.1f} min"

    @property
    def lines(self) -> list[Line]:
        """The log in words, each line as it read when it was done."""
        for entry in self.bench.log[len(self._lines) :]:
            shows = typeset(entry.shows) if entry.action == "read" else entry.shows
            took = f"{entry.minutes:.1f} min"
            line = Line(entry.number, self._done(entry), shows, took, bool(entry.hazards))
            self._lines.append(line)
        return self._lines

    def _done(self, entry: Entry) -> str:
        """What was done, in a few words."""
        return ACTS[entry.action].said(entry.args, self._short)

    def where(self, key: str) -> str:
        """Where a lead or clip is, in words, with its sheet where that is another one."""
        if not key:
            return "in the air"
        away = not self._at(key, self.places)
        sheet = f", sheet {self.sheets.number_of(key)}" if self.sheets and away else ""
        return f"on {self._short(key)}{sheet}"

    def _short(self, key: str) -> str:
        place = self.place(key)
        return f"{place.number} ({key})" if place else key
