"""The bench on screen.

::

    PlainBench(Bench(circuit))     # lists and buttons
"""

from labkit.widgets.plain import PlainBench, plain_bench

__all__ = ["PlainBench", "plain_bench"]
