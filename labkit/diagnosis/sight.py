"""What a person can see of a load, as chances: words for the same speed differ from eye to eye."""

from __future__ import annotations

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.normal import below
from labkit.diagnosis.odds import EYE, MISTAKE
from labkit.diagnosis.solved import Joined
from labkit.measuring.senses import CHATTERS, words_of
from labkit.parts import Now
from labkit.parts.traits import LAMP_WORDS, LIGHT_EXPONENT, Scale
from labkit.solving.arrays import Array, Flags


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
        Points by words, the words those of :func:`labkit.measuring.senses.words_of`.
    """
    part = circuit.part(id)
    words = words_of(part)
    amps, states = points.row("amps", id), points.states(id)
    volts_at = {name: points.row("volts", f"{id}:{name}") for name in part.terminals}
    across = {f"{a}-{b}": volts_at[a] - volts_at[b] for a, b in part.ways()}
    volts = across["-".join(part.ways()[0])]
    now = Now(circuit.system, amps, volts, points.row("speeds", id), states, np, across)
    which, size = part.sign(now)
    which = np.broadcast_to(which, len(amps))
    chances = np.zeros((len(amps), len(words)))
    for number, scale in enumerate(part.signs):
        here = np.flatnonzero(which == number)
        spread = graded(size[here], scale)
        for look, chance in zip(scale, spread.T, strict=True):
            chances[here, words.index(look.says)] += chance
    if CHATTERS in words:
        _only(chances, states == "chattering", words.index(CHATTERS))
    return with_mistakes(chances)


def with_mistakes(chances: Array, mistake: float = MISTAKE) -> Array:
    """Leave every outcome a small chance."""
    mixed: Array = (1 - mistake) * chances + mistake / chances.shape[1]
    return mixed


def _only(chances: Array, where: Flags, column: int) -> None:
    chances[where] = 0.0
    chances[where, column] = 1.0


def lamp_chances(volts: Array, system: float) -> Array:
    """Chance of each word for the test lamp, 'flickers' last."""
    light = (np.abs(np.nan_to_num(volts)) / system) ** LIGHT_EXPONENT
    chances = np.hstack([graded(light, LAMP_WORDS), np.zeros((len(volts), 1))])
    _only(chances, np.isnan(volts), len(LAMP_WORDS))
    return with_mistakes(chances)
