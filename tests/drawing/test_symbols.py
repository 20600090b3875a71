"""Symbols keep to the room the layout gives them, and texts to the width it reckons with."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import matplotlib
import pytest
import schemdraw
from matplotlib.ft2font import FT2Font, LoadFlags

from labkit import load_circuit
from labkit.drawing import draw
from labkit.drawing.contacts import UNIT
from labkit.drawing.content import HALF_BODY, HALF_HEIGHT, THROW
from labkit.drawing.seen import Seen
from labkit.drawing.symbols import STYLES, half_length, symbol
from labkit.drawing.text import text_width
from labkit.drawing.topology import Step
from labkit.parts import KINDS
from tests.boats import CIRCUITS, share

FONTS = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
LOOKS = [
    Seen(state, turning, glow)
    for state in ("", "on", "off", "open", "made", "other", "both", "blown", "missing", "parted")
    for turning, glow in ((0, 0), (1, 1), (-1, 2), (1, 3))
]
WAYS = {"relay": (("86", "85"), ("30", "87"), ("30", "87a"))}
HALF_LINE = 1.0


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("kind", [*KINDS, "jumper", "test lamp"])
def test_a_symbol_keeps_to_its_room_in_every_state(kind: str, style: str) -> None:
    for enter, leave in WAYS.get(kind, (("1", "2"),)):
        for throw in ("", "3") if kind == "changeover" else ("",):
            step = Step("A1", kind, enter, leave, "", "", throw=throw)
            for look in LOOKS:
                made = symbol(step, look, style)
                half = half_length(step, style)
                assert half * UNIT <= HALF_BODY
                drawing = schemdraw.Drawing(canvas="svg", show=False)
                drawing.add(made.endpoints((-half, 0), (half, 0)))
                box = drawing.get_bbox()
                low = THROW + 4 if throw else HALF_HEIGHT
                assert max(-box.xmin, box.xmax) * UNIT <= HALF_BODY + HALF_LINE, look
                assert box.ymax * UNIT <= HALF_HEIGHT + HALF_LINE, look
                assert -box.ymin * UNIT <= low + HALF_LINE, look


@lru_cache(maxsize=1)
def labels() -> set[str]:
    """Every text in the drawings of shipped circuits."""
    drawn = (draw(load_circuit(path)) for path in share(CIRCUITS, 3))
    return {label.text for drawing in drawn for label in drawing.placement.sheet.labels}


@pytest.mark.parametrize(
    ("file", "bold"), [("DejaVuSans.ttf", False), ("DejaVuSans-Bold.ttf", True)]
)
def test_no_label_is_wider_in_the_widest_font_than_we_reckon(file: str, bold: bool) -> None:
    font = FT2Font(str(FONTS / file))
    font.set_size(12.0, 72)
    texts = labels()

    assert len(texts) > 100
    for text in texts | {chr(code) for code in range(33, 127)}:
        glyphs = [font.load_char(ord(letter), LoadFlags.NO_HINTING) for letter in text]
        width = sum(glyph.linearHoriAdvance for glyph in glyphs) / 65536
        assert 0.7 * text_width(text, 12.0, bold) <= width <= text_width(text, 12.0, bold), text
