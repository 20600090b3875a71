"""Circuits drawn from their runs alone, as SVG, with the place of everything that can be touched.

::

    draw(circuit)                                     # in a notebook: the drawing
    draw(circuit, wires=True, traced={"washdown"}).save("washdown.svg")
"""

from labkit.drawing.drawing import Drawing, HotSpot, Spot, draw
from labkit.drawing.layout import WIDEST

__all__ = ["WIDEST", "Drawing", "HotSpot", "Spot", "draw"]
