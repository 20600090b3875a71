"""schemdraw without matplotlib: its own SVG is all that is drawn here.

schemdraw takes matplotlib's canvas where it finds one, and loading that takes a second. So
matplotlib is out of its sight while it is imported; where it is loaded already, it stays as it is.
"""

from __future__ import annotations

import sys

_UNSEEN = "matplotlib" not in sys.modules

if _UNSEEN:
    sys.modules["matplotlib"] = None  # type: ignore[assignment]  # an import of it then fails
try:
    import schemdraw
    from schemdraw import elements, segments
finally:
    if _UNSEEN:
        del sys.modules["matplotlib"]

__all__ = ["elements", "schemdraw", "segments"]
