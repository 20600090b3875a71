"""What readings tell, in sentences a technician would say, from the numbers that were simulated."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from labkit.aboard.acts import ACTS
from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.diagnosis.faults import said
from labkit.diagnosis.information import by_name, likeliest
from labkit.diagnosis.outcomes import Outcome, stretches, words
from labkit.diagnosis.phrases import (
    NAMED,
    listing,
    place_text,
    state_text,
    suspects,
    value_text,
)
from labkit.diagnosis.scale import Scale
from labkit.diagnosis.session import Diagnosis, Weighed
from labkit.measuring.meter import FUNCTIONS
from labkit.solving.arrays import Array, Numbers

SCALES = {"M": 1e6, "k": 1e3, "": 1.0, "m": 1e-3}
"""Prefixes of units; below a tenth of a volt one speaks of millivolts."""

COVERS = 0.99
"""Names listed for an outcome make up this share of it."""

MOST_SAID = 5
"""So many outcomes are described, the likeliest."""


def reading_text(on: Scale, low: float, high: float) -> str:
    """A stretch of readings in words: 'about 12.6 V', '3.1 to 7.4 V', 'OL'."""
    a, b = on.reading(low), on.reading(high)
    if np.isnan(a) or np.isnan(b):
        return "unsteady"
    if np.isinf(a) and np.isinf(b):
        return "OL"
    if abs(low) <= 3.0 and abs(high) <= 3.0:
        return f"0 {on.unit}"
    if np.isinf(b):
        return f"above {value_text(a, on.unit)}"
    if high - low <= 6.0:
        return f"about {_rounded((a + b) / 2, (a + b) / 2, on.unit)} {_unit((a + b) / 2, on.unit)}"
    most = max(abs(a), abs(b))
    return f"{_rounded(a, most, on.unit)} to {_rounded(b, most, on.unit)} {_unit(most, on.unit)}"


def _rounded(value: float, most: float, unit: str) -> str:
    """A number as it is said aloud: two digits, from ten on three; in the unit of the largest."""
    value /= SCALES[_unit(most, unit).removesuffix(unit)]
    return f"{float(f'{value:.{3 if abs(value) >= 10 else 2}g}') + 0.0:g}"


def _unit(most: float, unit: str) -> str:
    prefix = next((p for p, size in SCALES.items() if abs(most) >= size * 0.1 ** (p == "")), "m")
    return f"{prefix}{unit}"


def tells(
    measurement: Measurement, diagnosis: Diagnosis, rows: Numbers, low: Array, high: Array,
    chances: Array | None,
) -> tuple[str, ...]:  # fmt: skip  # rows that a reader compares
    """What each outcome of a measurement would leave, the likeliest first, a sentence each."""
    belief = diagnosis.belief[rows]
    belief = belief / belief.sum()
    names = diagnosis.known.name_of[rows]
    if chances is not None:
        found = words(chances, belief, outcomes(measurement, diagnosis.circuit))
    else:
        found = stretches(low, high, belief, names)
    lines = []
    for outcome in sorted(found, key=lambda o: -o.chance)[:MOST_SAID]:
        if outcome.chance < 0.01:
            continue
        what = outcome.word or seen_as(
            outcome, diagnosis.scale(measurement.function), low, high, belief
        )
        left = suspects(
            left_by(outcome, belief, names, diagnosis.known.names), parts=diagnosis.circuit.parts
        )
        lines.append(f"{what} ({100 * outcome.chance:.0f} %): leaves {left}")
    return tuple(lines)


def left_by(outcome: Outcome, belief: Array, names: Numbers, known: Sequence[str]) -> list[str]:
    """Names that make up all but COVERS of an outcome, the likeliest first."""
    after = by_name(belief * outcome.share, names, len(known))
    order = likeliest(after)
    enough = int(np.searchsorted(np.cumsum(after[order]), COVERS * after.sum())) + 1
    return [known[n] for n in order[:enough]]


def seen_as(outcome: Outcome, on: Scale, low: Array, high: Array, belief: Array) -> str:
    """The readings within an outcome that rows worth naming predict."""
    there = belief * outcome.share > 0.002 * outcome.chance
    a = max(float(low[there].min()), outcome.low)
    b = min(float(high[there].max()), outcome.high)
    return reading_text(on, a, max(a, b))


# -- what evidence did ---------------------------------------------------------------------------


def fell_by(diagnosis: Diagnosis, number: int) -> dict[str, str]:
    """Names a piece of evidence struck out, each with what it would have shown instead."""
    step = diagnosis.steps[number]
    gone = [name for name, at in diagnosis.fallen().items() if at == number]
    earlier = np.zeros(len(diagnosis.belief), bool)
    for before in diagnosis.steps[:number]:
        earlier |= before.struck
    found = {}
    for name in gone:
        n = diagnosis.known.names.index(name)
        rows = np.flatnonzero((diagnosis.known.name_of == n) & ~earlier)
        found[name] = _instead(step, rows, diagnosis)
    return found


def _instead(step: Weighed, rows: Numbers, diagnosis: Diagnosis) -> str:
    item = step.evidence
    if item.function in FUNCTIONS:
        on = diagnosis.scale(item.function)
        low, high = on.u(step.low[rows]), on.u(step.high[rows])
        return "it would read " + reading_text(on, float(low.min()), float(high.max()))
    chances = diagnosis.chances(
        Measurement(
            item.function, item.red, item.black, item.positions, item.parted, item.jumper, item.lamp
        )
    )[rows].mean(0)
    word = outcomes(item, diagnosis.circuit)[int(chances.argmax())]
    sense = ACTS[item.function].sense
    return f"then {sense.instead.format(red=item.red) if sense else ''}{word}"


def step_text(diagnosis: Diagnosis, number: int) -> str:
    """A piece of evidence and what fell by it, in a few sentences."""
    step = diagnosis.steps[number]
    head = f"{state_text(step.evidence)}{place_text(step.evidence)}: {step.evidence.seen}."
    fell = fell_by(diagnosis, number)
    if not fell:
        return f"{head} Nothing falls by it ({step.bits:.2f} bit)."
    alike: dict[str, list[str]] = {}
    for name, instead in fell.items():
        alike.setdefault(instead, []).append(name)
    order = sorted(alike.items(), key=lambda item: -len(item[1]))
    parts = diagnosis.circuit.parts
    struck = [f"{suspects(names, parts=parts)} ({instead})" for instead, names in order[:NAMED]]
    rest = sum(len(names) for _, names in order[NAMED:])
    more = f"; and {rest} more" if rest else ""
    return f"{head} That strikes out " + "; ".join(struck) + f"{more} ({step.bits:.2f} bit)."


def report(diagnosis: Diagnosis) -> str:
    """Everything the evidence did, and what remains."""
    lines = [step_text(diagnosis, n) for n in range(len(diagnosis.steps))]
    left = diagnosis.remaining()
    beliefs = diagnosis.by_name
    parts = diagnosis.circuit.parts
    likely = [
        f"{said(name, parts)} ({100 * beliefs[name]:.0f} %)"
        for name in left
        if beliefs[name] >= 0.005
    ]
    lines.append(f"What remains: {listing(likely, 8) if likely else suspects(left, 8, parts)}.")
    return "\n".join(lines)
