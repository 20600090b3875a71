"""What each row foretells of each measurement, the boat as far as it has been learnt."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from labkit.circuits.circuit import NEGATIVE
from labkit.diagnosis.menu import Block
from labkit.ownboat.inference import Inference
from labkit.ownboat.scales import BENT, SEVERITY, meter_columns, on_scale, scatter, stretch
from labkit.solving.arrays import Array, Flags, Numbers

MAY_COME = 3e-3
"""Rows believed less are not worked out ahead. Measured: more cost more than they saved."""

OVER_RANGE, WIDE = 60.0, 1.0
"""Where a reading without a number is put on the scale, and how wide. Chosen."""


class Forecast(NamedTuple):
    """Mean and standard deviation of measurements, each measurements by rows, on their scales."""

    mean: Array
    sd: Array


class Forecaster:
    """Foretells readings of one inference.

    Parameters
    ----------
    inference : Inference
    rows : array of int
    """

    def __init__(self, inference: Inference, rows: Numbers) -> None:
        self.boat, self.rows = inference.boat, rows
        self.sets = inference.sets[rows]
        self.mean, self.pinned = inference.learnt(rows)
        self.rest = inference.sets[inference.shares > MAY_COME]

    def block(self, block: Block, leads: Sequence[int]) -> Forecast:
        """Foretell some of a block's readings."""
        if not len(leads):
            nothing = np.zeros((0, len(self.rows)))
            return Forecast(nothing, nothing)
        if block.function == "volts":
            return self._volts(block, leads)
        found = [self._single(block, int(n)) for n in leads]
        return Forecast(np.stack([f.mean for f in found]), np.stack([f.sd for f in found]))

    def quick(self, block: Block) -> Array:
        """Means alone of all of a block's readings."""
        if block.function != "volts":
            every = [self._middle(block, n) for n in range(len(block.leads))]
            return np.stack(every)
        red, black = self._ends(block)
        volts, islands = self._at(block, 1)
        volts = np.nan_to_num(volts)
        gain = self.mean[:, -2][:, None]
        if self.pinned.shape[1]:
            moved = self.boat.moves(block.bare, self.sets[:, 1], self.rest[:, 1])
            shift = (self.mean[:, None, :-3] @ moved)[:, 0]
        else:
            shift = np.zeros_like(volts)
        ok = islands[:, red] == islands[:, black]
        plain = np.where(ok, volts[:, red] - volts[:, black], 0.0)
        moved_by = np.where(ok, shift[:, red] - shift[:, black], 0.0)
        columns, _ = meter_columns("volts", plain)
        return np.asarray((plain + moved_by + columns * gain).T)

    def _middle(self, block: Block, lead: int) -> Array:
        """Reading of the middle boat, on its scale."""
        m = block.measurement(lead)
        read = self.boat.numbers(m, self.sets[:, 1:2])[0]
        there = np.isfinite(read)
        over = np.where(np.isnan(read), 2 * OVER_RANGE, OVER_RANGE)
        return np.asarray(np.where(there, on_scale(m.function, np.where(there, read, 0.0)), over))

    def _ends(self, block: Block) -> tuple[Numbers, Numbers]:
        state = self.boat.state(block.bare)
        leads = [(state.place(r), state.place(b or NEGATIVE)) for r, b in block.leads]
        return np.array([a for a, _ in leads]), np.array([b for _, b in leads])

    def _at(self, block: Block, severity: int) -> tuple[Array, Numbers]:
        rest = self.rest[:, 1] if severity == 1 else None  # the ends are asked of a few states
        return self.boat.volts(block.bare, self.sets[:, severity], rest)

    def _volts(self, block: Block, leads: Sequence[int]) -> Forecast:
        red, black = (ends[np.asarray(leads)] for ends in self._ends(block))
        three = [self._at(block, n) for n in range(3)]
        moved = self.boat.moves(block.bare, self.sets[:, 1], self.rest[:, 1])
        joined = [islands[:, red] == islands[:, black] for _, islands in three]
        ok = joined[1]
        low, middle, high = (
            np.where(same, np.nan_to_num(v[:, red] - v[:, black]), 0.0)
            for (v, _), same in zip(three, joined, strict=True)
        )
        columns = np.where(ok[:, None], moved[..., red] - moved[..., black], 0.0)
        return self._foretold("volts", low, middle, high, columns)

    def _single(self, block: Block, lead: int) -> Forecast:
        m = block.measurement(lead)
        read, moved = self.boat.foretold(m, self.sets)
        there: Flags = np.asarray(np.isfinite(read).all(axis=0))
        filled = np.where(there, read, 0.0)
        low, middle, high = (on_scale(m.function, x)[:, None] for x in filled)
        slope = stretch(m.function, filled[1])
        columns = (np.where(there[:, None], moved, 0.0) * slope[:, None])[..., None]
        found = self._foretold(m.function, low, middle, high, columns, filled[1][:, None])
        over = np.where(np.isnan(read[1]), 2 * OVER_RANGE, OVER_RANGE)
        return Forecast(np.where(there, found.mean[0], over), np.where(there, found.sd[0], WIDE))

    def _foretold(
        self,
        function: str,
        low: Array,
        middle: Array,
        high: Array,
        columns: Array,
        reading: Array | None = None,
    ) -> Forecast:
        """Mean and spread from columns (rows by figures by measurements)."""
        gain, leads = meter_columns(function, middle)
        severity = (high - low) / 2 * SEVERITY
        bent = np.abs(low + high - 2 * middle) / 2
        every = np.concatenate([columns, severity[:, None], gain[:, None], leads[:, None]], axis=1)
        mean = middle + (self.mean[:, None] @ every)[:, 0]
        held = self.pinned @ every
        variance = np.maximum((every * every).sum(1) - (held * held).sum(1), 0.0)
        own = scatter(function, middle if reading is None else reading) ** 2 + (BENT * bent) ** 2
        return Forecast(mean.T, np.sqrt(variance + own).T)
