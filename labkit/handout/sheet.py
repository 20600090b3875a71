"""What stands on a printed page, as plain data; how it looks is the business of `sheet.typ`."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.circuits.extract import extract
from labkit.circuits.structure import structure_of
from labkit.desk.key import Key
from labkit.diagnosis.faults import describe
from labkit.drawing import Drawing, draw
from labkit.drawing.sheets import HEADS, draw_sheets, is_large, shown
from labkit.exercises.exercise import Exercise
from labkit.exercises.situations import Situation, found_on, situations, told
from labkit.measuring.displays import volts_displays
from labkit.text.quantities import show

ALWAYS = (
    "Rings and watches off; cover the battery's positive stud. A battery drives hundreds of "
    "amperes into a spanner.",
    "Sniff and ventilate before you make or break anything live: fuel vapour and battery gas "
    "light at the smallest spark.",
    "Switch off before you take a wire off, and keep its end from touching anything.",
)
"""Cautions for every job aboard. Common practice, no source."""

RULES = (
    "Local codes and the work a licence is needed for come before anything printed here."
)  # fmt: skip  # rows that a reader compares

FEW_POINTS, MANY_POINTS = 14, 20
"""More test points leave less room, or hardly any, for lines to write on. Our choice."""


@dataclass(frozen=True)
class Sheet:
    """A page's words and figures, and its drawing.

    Attributes
    ----------
    words : dict
        Plain data for the page.
    drawing : Drawing
    more : tuple of Drawing
        Of a large boat, her circuits one by one.
    """

    words: dict[str, Any]
    drawing: Drawing
    more: tuple[Drawing, ...] = ()

    @property
    def files(self) -> dict[str, str]:
        """The drawings for paper, by the names the page has for them."""
        more = {f"drawing-{n}.svg": _on_paper(one) for n, one in enumerate(self.more)}
        return {"drawing.svg": _on_paper(self.drawing), **more}


def _on_paper(drawing: Drawing) -> str:
    """A drawing in black, in one font, without the colours of a screen."""
    plain = re.sub(r"<style>.*?</style>", "", drawing.svg, flags=re.DOTALL)
    plain = re.sub(r'font-family="[^"]*"', 'font-family="DejaVu Sans"', plain)
    return plain.replace("#1b1e23", "#000000")


def sheet_of(what: Exercise | Circuit, key: Key | None = None, learner: str = "") -> Sheet:
    """Put together a page.

    Parameters
    ----------
    what : Exercise or Circuit
        An exercise gives a hand-out to fill in; a circuit, the readings to expect aboard.
    key : Key, optional
        Of that exercise: its answers are printed too.
    learner : str
        Printed where the name goes.
    """
    if isinstance(what, Circuit):
        return _of_boat(what) if is_large(what) else _of_circuit(what)
    circuit = what.circuit
    drawing = drawn_near(what)
    places = key.situations if key else situations(what)
    words = {
        "title": what.title,
        "boat": circuit.title,
        "learner": learner,
        "complaint": what.complaint,
        "seen": list(what.seen),
        "found": told(circuit.positions),
        "par": f"{what.par / 60:.0f} min",
        "cautions": [*what.cautions, *_unsaid(what.cautions), RULES],
        "points": _points(circuit, drawing, places, key),
        "situations": [[place.name, place.says] for place in places],
        "load": what.proof.load,
        "limit": f"{100 * what.proof.drop:g} % of {show(circuit.system, 'V')}",
        "besides": "; ".join(what.proof.asks),
        "lines": 0 if key else _lines(circuit),
        "answers": _answers(key) if key else None,
        **_of_drawing(drawing),
    }
    return Sheet(words, drawing)


def drawn_near(exercise: Exercise) -> Drawing:
    """Draw the boat of an exercise: all of her, or of a large one what is near the load."""
    circuit = exercise.circuit
    if is_large(circuit):
        structure = structure_of(circuit.runs, circuit.parts.values())
        circuit = extract(circuit, structure.near(exercise.named))
    return draw(circuit, wires=True)


def _of_boat(circuit: Circuit) -> Sheet:
    """A large boat: what feeds her, a table of her circuits, and a drawing and readings of each."""
    boat, places = draw_sheets(circuit, wires=True), found_on(circuit)
    page = _of_circuit(circuit, boat.feeds)
    readings = _Expected(circuit, places)
    words = page.words | {
        "panel": {
            "heads": list(HEADS),
            "bars": [
                [shown(bar), [list(one.line) for one in sheets]]
                for bar, sheets in boat.by_bar.items()
            ],
        },
        "circuits": [
            {
                "title": one.title,
                "where": f"from {shown(one.bar)} (sheet 1), back to {one.back}",
                "points": readings.at(one.drawing),
                **_of_drawing(one.drawing),
            }
            for one in boat.circuits
        ],
        "points": readings.at(boat.feeds),
        "lines": 0,
    }
    return Sheet(words, boat.feeds, tuple(one.drawing for one in boat.circuits))


def _of_circuit(circuit: Circuit, feeds: Drawing | None = None) -> Sheet:
    drawing = feeds or draw(circuit, wires=True)
    places = found_on(circuit)
    words = {
        "title": circuit.title,
        "boat": "",
        "learner": "",
        "complaint": "",
        "seen": [],
        "found": told(circuit.positions),
        "par": "",
        "cautions": [*ALWAYS, RULES],
        "points": {} if feeds else _Expected(circuit, places).at(drawing),
        "situations": [[place.name, place.says] for place in places],
        "load": "",
        "limit": "",
        "besides": "",
        "lines": _lines(circuit),
        "answers": None,
        **_of_drawing(drawing),
    }
    return Sheet(words, drawing)


def _of_drawing(drawing: Drawing) -> dict[str, Any]:
    return {
        "width": drawing.width,
        "height": drawing.height,
        "description": drawing.description,
    }


def _lines(circuit: Circuit) -> int:
    """Lines for voltages across a part."""
    points = len(circuit.test_points)
    return 10 if points <= FEW_POINTS else 5 if points <= MANY_POINTS else 3


def _unsaid(said: Iterable[str]) -> list[str]:
    """Return the usual cautions that an exercise's own do not already give."""
    text = " ".join(said).lower()
    marks = (("spanner", "rings"), ("vapour", "sniff", "ventilate"), ("switch off",))
    return [
        caution
        for caution, words in zip(ALWAYS, marks, strict=True)
        if not any(word in text for word in words)
    ]


def _points(
    circuit: Circuit, drawing: Drawing, places: tuple[Situation, ...], key: Key | None
) -> dict[str, Any]:
    """Test points with a column for each situation: empty, or with the answers."""
    if key is None:
        rows = [[*point, *[""] * len(places)] for point in _drawn(drawing)]
    else:
        rows = [
            [str(point.number), ", ".join(point.terminals), *(c.cell for c in point.readings)]
            for point in key.points
        ]
    return {"columns": [place.name for place in places], "rows": rows, "blank": key is None}


def _drawn(drawing: Drawing) -> list[tuple[str, str]]:
    """Numbers and terminals of the test points one can see: those of hidden parts give it away."""
    return [
        (str(spot.number), ", ".join(spot.terminals))
        for spot in drawing.test_points
        if spot.node != NEGATIVE
    ]


class _Expected:
    """What a meter shows on the sound boat at her test points, with room for what yours shows."""

    def __init__(self, circuit: Circuit, places: tuple[Situation, ...]) -> None:
        self._places = places
        numbers = [str(p.number) for p in circuit.test_points if p.node != NEGATIVE]
        pairs = [(number, NEGATIVE) for number in numbers]
        shown = [volts_displays(place.of(circuit), pairs) for place in places]
        self._cells = dict(zip(numbers, zip(*shown, strict=True), strict=True))

    def at(self, drawing: Drawing) -> dict[str, Any]:
        """A table of the points on a drawing."""
        rows = [
            [number, terminals, *(cell for shown in self._cells[number] for cell in (shown, ""))]
            for number, terminals in _drawn(drawing)
        ]
        columns = [text for place in self._places for text in (f"{place.name}: sound", "yours")]
        return {"columns": columns, "rows": rows, "blank": True}


def _answers(key: Key) -> dict[str, Any]:
    circuit = key.exercise.circuit
    wrong = [describe(fault, circuit) for fault in key.dealt.circuit.faults]
    return {
        "wrong": "; ".join(wrong)
        + (f". Fuses it blows: {', '.join(key.opened)}" if key.opened else ""),
        "cause": key.dealt.cause,
        "lists": [
            ["Seen and heard", list(key.symptoms)],
            ["Deciding readings, clearest first", [c.sentence for c in key.telling[:6]]],
            ["Best path", list(key.path)],
            ["Make safe", list(key.safe)],
            ["Wrong answers that look the same", list(key.wrong_answers)],
            ["Proof", list(key.proofs)],
        ],
    }
