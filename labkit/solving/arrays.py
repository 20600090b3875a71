"""What numpy's arrays hold, under one name each."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Singles = npt.NDArray[np.float32]
"""In half the room, where six digits are enough."""
Numbers = npt.NDArray[np.intp]
"""Of rows or columns."""
Codes = npt.NDArray[np.int16]
"""Of names, few enough for two bytes each."""
Flags = npt.NDArray[np.bool_]
Words = npt.NDArray[np.str_]
