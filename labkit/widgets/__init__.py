"""The bench on screen.

::

    ClickBench(Bench(circuit))     # a drawing to click
    PlainBench(Bench(circuit))     # lists and buttons, where scripts in a page cannot run
    PredictCard(Predict(circuit, "X1:2"))
    HuntCard(Hunt(exercise, "your name"))
"""

from labkit.widgets.cards import ChooseCard, HuntCard, PredictCard
from labkit.widgets.click import ClickBench
from labkit.widgets.plain import PlainBench
from labkit.widgets.preview import PreviewCard

__all__ = ["ChooseCard", "ClickBench", "HuntCard", "PlainBench", "PredictCard", "PreviewCard"]
