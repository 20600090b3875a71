"""What remains, in sentences and as data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.diagnosis.outcomes import stretches, words
from labkit.diagnosis.phrases import how_much
from labkit.measuring.meter import FUNCTIONS
from labkit.ownboat.advice import Advice
from labkit.ownboat.boat import Boat
from labkit.ownboat.forecast import OVER_RANGE
from labkit.ownboat.inference import Inference
from labkit.ownboat.remains import Farthest, Remains
from labkit.ownboat.scales import off_scale
from labkit.ownboat.undrawn import undrawn
from labkit.parts import Battery
from labkit.text.quantities import show

CHARGE_FIRST = 12.2
"""Below this at rest a 12 V battery is charged before anything else is judged. [V] Common
practice, no source."""

IN_BAND = 2.0
"""A reading off by fewer standard deviations lies within what was expected."""

_NAMES = 3


def fault_words(name: str, circuit: Circuit) -> str:
    """A name in the words of the list: 'X1 resistance' is 'X1 high resistance'."""
    place, _, mode = name.partition(" ")
    part = circuit.parts.get(place.partition(":")[0])
    known = part.modes.get(mode) if part is not None else None
    return f"{place} {known.word if known else mode}"


def tells(advice: Advice, inference: Inference) -> list[str]:
    """What each outcome of a measurement would leave, a sentence each."""
    boat, rows = inference.boat, advice.rows
    belief = inference.shares[rows] / inference.shares[rows].sum()
    names = np.unique(boat.known.name_of[rows], return_inverse=True)[1].astype(np.intp)
    if advice.chances is not None:
        found = words(advice.chances, belief, outcomes(advice.measurement, boat.circuit))
        return [
            f"{o.word} ({o.chance:.0%}): {_leaves(o.share * belief, rows, boat)}" for o in found
        ]
    assert advice.forecast is not None
    mean, sd = advice.forecast.mean[0], advice.forecast.sd[0]
    least = sd.min()
    said = []
    function = advice.measurement.function
    for o in stretches((mean - sd) / least, (mean + sd) / least, belief, names):
        if o.chance > 0.01:
            where = _stretch_words(o.low * least, o.high * least, function)
            said.append(f"{where} ({o.chance:.0%}): {_leaves(o.share * belief, rows, boat)}")
    return said


def _stretch_words(low: float, high: float, function: str) -> str:
    unit = FUNCTIONS[function].unit
    if low > OVER_RANGE / 2:
        return "OL" if low < 1.5 * OVER_RANGE else "unsteady"
    first, last = (off_scale(function, value) for value in (low, high))
    if function in ("ohms", "continuity"):
        first = max(first, 0.0)
    return f"{show(first, unit, 3)} to {show(last, unit, 3)}"


def _leaves(mass: Any, rows: Any, boat: Boat) -> str:
    known = boat.known
    total = np.bincount(known.name_of[rows], mass, len(known.names))
    total = np.round(total / max(total.sum(), 1e-12), 6)  # what is alike stays in its order
    best = np.argsort(-total, kind="stable")[:_NAMES]
    said = [
        f"{fault_words(known.names[n], boat.circuit)} ({total[n]:.0%})"
        for n in best
        if total[n] > 0.02
    ]
    return "leaves " + ", ".join(said) if said else "leaves much as it is"


def band(farthest: Farthest) -> str:
    """What a reading was expected to be: '12.5 to 12.7 V'."""
    unit = FUNCTIONS[farthest.evidence.function].unit
    low, high = show(farthest.low, unit, 3), show(farthest.high, unit, 3)
    if low.partition(" ")[2] == high.partition(" ")[2]:
        low = low.partition(" ")[0]
    return f"{low} to {high}"


def measurement_data(m: Measurement) -> dict[str, Any]:
    """A measurement as data."""
    return {
        "red": m.red,
        "black": m.black,
        "function": m.function,
        "positions": dict(m.positions),
        "parted": sorted(m.parted),
    }


def data(found: Remains, inference: Inference, struck: dict[str, int]) -> dict[str, Any]:
    """What remains, for another program."""
    circuit = inference.boat.drawn
    far = found.farthest
    joint = None if found.fits else undrawn(inference)
    return {
        "remains": [
            {
                "id": left.part,
                "mode": left.mode,
                "fault": fault_words(left.name, circuit),
                "belief": round(left.belief, 4),
            }
            for left in found.remains
        ],
        "unlisted": round(found.unlisted, 4),
        "fits": found.fits,
        "farthest": None if far is None else {"seen": str(far.evidence), "expected": band(far)},
        "undrawn": None
        if joint is None
        else {"between": [joint.first, joint.second], "belief": round(joint.belief, 4)},
        "struck": [{"fault": fault_words(n, circuit), "by": by} for n, by in struck.items()],
        "alike": [list(found.group)] if len(found.group) > 1 else [],
        "confirmed": found.confirmed,
        "settled": found.settled and found.fits,
        "next": [
            {
                **measurement_data(a.measurement),
                "bits": a.bits,
                "minutes": a.minutes,
                "tells": tells(a, inference),
            }
            for a in found.next
        ],
    }


def sentences(found: Remains, inference: Inference) -> list[str]:
    """What remains, a line each."""
    circuit = inference.boat.drawn
    lines = [f"{left.belief:4.0%}  {fault_words(left.name, circuit)}" for left in found.remains[:8]]
    lines.append(f"{found.unlisted:4.0%}  something else, or not to be told yet")
    return lines + verdicts(found, inference)


def verdicts(found: Remains, inference: Inference) -> list[str]:
    """What is to be said of what remains: does it fit, and is that the answer."""
    circuit = inference.boat.drawn
    lines = _battery(inference)
    if not found.fits and found.farthest is not None and abs(found.farthest.off) < IN_BAND:
        lines.append(
            "No reading is far off, but none of the faults listed explains well all that was seen "
            "and said: it may be something that is not listed, or not drawn."
        )
        lines += _undrawn(inference)
    elif not found.fits and found.farthest is not None:
        lines.append(
            "The boat does not fit its drawing: farthest off is "
            f"'{found.farthest.evidence}', where {band(found.farthest)} was expected. Read it "
            "again; then look for a joint, a wire or a second fault that is not drawn."
        )
        lines += _undrawn(inference)
    elif found.farthest is not None:
        lines.append("What was read fits the drawing.")
    if found.settled:
        lines.append(_settled(found, circuit))
    elif found.next and found.next[0].confirms:
        named = fault_words(found.group[0], circuit)
        lines.append(f"{named} is left over; before it is named, measure at the part itself:")
    return lines


def _undrawn(inference: Inference) -> list[str]:
    joint = undrawn(inference)
    if joint is None:
        return []
    return [
        f"A bad joint between {joint.first} and {joint.second}, which nobody drew, would explain "
        f"it ({joint.belief:.0%}): read from one to the other under load."
    ]


def _settled(found: Remains, circuit: Circuit) -> str:
    named = " or ".join(fault_words(name, circuit) for name in found.group)
    if not found.fits:
        return f"Likeliest by far is {named}; but something does not fit, so prove it twice."
    if len(found.group) > 1:
        return f"It is {named}: no test in reach tells them apart."
    return f"It is {named}."


def _battery(inference: Inference) -> list[str]:
    system = inference.boat.circuit.system
    for item in inference.evidence:
        id = item.red.partition(":")[0]
        part = inference.boat.circuit.parts.get(id)
        at_posts = isinstance(part, Battery) and item.black.startswith(id)
        if at_posts and item.function == "volts" and not item.positions:
            if item.value < CHARGE_FIRST * system / 12:
                return [f"{item.seen} at rest: charge {id} before anything else is judged."]
            break
    return []


def numbered(found: Sequence[Advice], inference: Inference) -> list[str]:
    """Measurements worth taking, with what each would tell."""
    lines = []
    for number, advice in enumerate(found, 1):
        worth = "at the part" if advice.confirms else f"tells {how_much(advice.bits)}"
        lines.append(f"{number}. {advice.measurement}: {worth} in {advice.minutes:.1f} min")
        lines += [f"   {text}" for text in tells(advice, inference)]
    return lines
