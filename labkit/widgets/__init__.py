"""The bench on screen.

::

    ClickBench(Bench(circuit))     # a drawing to click
    PlainBench(Bench(circuit))     # lists and buttons, where scripts in a page cannot run
"""

from labkit.widgets.click import ClickBench
from labkit.widgets.plain import PlainBench, plain_bench

__all__ = ["ClickBench", "PlainBench", "plain_bench"]
