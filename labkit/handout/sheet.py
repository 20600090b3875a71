"""What stands on a printed page, as plain data; how it looks is the business of `sheet.typ`."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.desk.key import Key
from labkit.diagnosis.faults import describe
from labkit.drawing import Drawing, draw
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
)  # fmt: skip

MANY_POINTS = 14
"""More test points than this leave less room for lines to write on. Our choice."""


@dataclass(frozen=True)
class Sheet:
    """A page's words and figures, and its drawing.

    Attributes
    ----------
    words : dict
        Plain data for the page.
    drawing : Drawing
    """

    words: dict[str, Any]
    drawing: Drawing

    @property
    def svg(self) -> str:
        """The drawing for paper: black, in one font, without the colours of a screen."""
        plain = re.sub(r"<style>.*?</style>", "", self.drawing.svg, flags=re.DOTALL)
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
        return _of_circuit(what)
    circuit = what.circuit
    drawing = draw(circuit, wires=True)
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


def _of_circuit(circuit: Circuit) -> Sheet:
    drawing = draw(circuit, wires=True)
    places = found_on(circuit)
    words = {
        "title": circuit.title, "boat": "", "learner": "", "complaint": "", "seen": [],
        "found": told(circuit.positions), "par": "", "cautions": [*ALWAYS, RULES],
        "points": _expected(circuit, drawing, places),
        "situations": [[place.name, place.says] for place in places],
        "load": "", "limit": "", "besides": "", "lines": _lines(circuit), "answers": None,
        **_of_drawing(drawing),
    }  # fmt: skip
    return Sheet(words, drawing)


def _of_drawing(drawing: Drawing) -> dict[str, Any]:
    return {
        "width": drawing.width,
        "height": drawing.height,
        "description": drawing.description,
    }


def _lines(circuit: Circuit) -> int:
    """Lines for voltages across a part."""
    return 5 if len(circuit.test_points) > MANY_POINTS else 10


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


def _expected(circuit: Circuit, drawing: Drawing, places: tuple[Situation, ...]) -> dict[str, Any]:
    """Test points with what a meter shows on the sound boat, and room for what yours shows."""
    points = _drawn(drawing)
    pairs = [(number, NEGATIVE) for number, _ in points]
    shown = [volts_displays(place.of(circuit), pairs) for place in places]
    rows = [
        [number, terminals, *(cell for column in shown for cell in (column[n], ""))]
        for n, (number, terminals) in enumerate(points)
    ]
    columns = [text for place in places for text in (f"{place.name}: sound", "yours")]
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
