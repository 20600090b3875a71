"""What a person can see of a load, as chances: words for the same speed differ from eye to eye."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.hypotheses import Joined
from labkit.diagnosis.normal import below
from labkit.measuring.senses import load_words
from labkit.parts import Part
from labkit.parts.filament import voltage_share
from labkit.parts.traits import LAMP_WORDS, LIGHT_EXPONENT, MOTOR_WORDS, Scale

Array = npt.NDArray[np.float64]

EYE = 0.08
"""Spread of a person's judgment of speed or light, as a natural logarithm. Common practice."""

MISTAKE = 0.002
"""Chance that something else is reported than was there."""

IN_HAND = 1e-5
"""The same of what one holds in one's hand."""


def graded(value: Array, words: Scale) -> Array:
    """Chance of each word for a speed or light, as a fraction of rated; rows by words."""
    size = np.log(np.maximum(value, 1e-6))
    bounds = np.log([look.upto for look in words[:-1]])
    under = below((bounds[None, :] - size[:, None]) / EYE)
    return np.diff(under, axis=1, prepend=0.0, append=1.0)


def load_chances(circuit: Circuit, points: Joined, id: str) -> Array:
    """Chance of each of a load's words, for each operating point.

    Returns
    -------
    array
        Points by words, the words those of :func:`labkit.measuring.senses.load_words`.
    """
    part = circuit.part(id)
    words = load_words(part.kind)
    amps, states = points.row("amps", id), points.states(id)
    chances = np.zeros((len(amps), len(words)))
    if part.kind == "motor":
        _motor(chances, words, part, points, circuit.system)
    elif part.kind in ("lamp", "indicator"):
        light = _light(part, amps, circuit.system)
        chances[:, : len(LAMP_WORDS)] = graded(np.nan_to_num(light), LAMP_WORDS)
        _only(chances, np.isnan(amps), words.index("flickers"))
    else:
        yes = {
            "electronics": (states == "on") & (np.abs(amps) > 0),
            "relay": states == "pulled in",
            "heater": np.abs(amps) > 0,
        }[part.kind]
        chances[:, 0], chances[:, 1] = yes, ~yes
    if "chatters" in words:
        _only(chances, states == "chattering", words.index("chatters"))
    return with_mistakes(chances)


def with_mistakes(chances: Array, mistake: float = MISTAKE) -> Array:
    """Leave every outcome a small chance."""
    mixed: Array = (1 - mistake) * chances + mistake / chances.shape[1]
    return mixed


def _only(chances: Array, where: npt.NDArray[np.bool_], column: int) -> None:
    chances[where] = 0.0
    chances[where, column] = 1.0


def _motor(
    chances: Array, words: tuple[str, ...], part: Part, points: Joined, system: float
) -> None:
    speed, amps = points.row("speeds", part.id), points.row("amps", part.id)
    rated = part.amps(system)  # type: ignore[attr-defined]
    plain = graded(np.abs(np.nan_to_num(speed)), MOTOR_WORDS)
    count = len(MOTOR_WORDS)
    ahead = ~(speed < -0.02)
    chances[:, :count] = plain * ahead[:, None]
    chances[~ahead, count : 2 * count - 1] = plain[~ahead, 1:]
    chances[~ahead, 0] = plain[~ahead, 0]
    hums = (speed == 0) & (np.abs(amps) > 0.5 * rated)
    _only(chances, hums, words.index("hums but stands still"))
    _only(chances, np.isnan(speed), words.index("stutters"))


def _light(part: Part, amps: Array, system: float) -> Array:
    """Light as a fraction of rated, as :func:`labkit.measuring.senses.brightness` has it."""
    if part.kind == "indicator":
        light: Array = np.maximum(amps, 0.0) / float(getattr(part, "current", 0.01))
        return light
    rated = part.amps(system)  # type: ignore[attr-defined]
    bright: Array = voltage_share(np.abs(amps) / rated, np) ** LIGHT_EXPONENT
    return bright


def lamp_chances(volts: Array, system: float) -> Array:
    """Chance of each word for the test lamp, 'flickers' last."""
    light = (np.abs(np.nan_to_num(volts)) / system) ** LIGHT_EXPONENT
    chances = np.hstack([graded(light, LAMP_WORDS), np.zeros((len(volts), 1))])
    _only(chances, np.isnan(volts), len(LAMP_WORDS))
    return with_mistakes(chances)
