"""The bench and the cards on screen.

::

    ClickBench(Bench(circuit))     # a drawing to click
    PlainBench(Bench(circuit))     # lists and buttons, where scripts in a page cannot run
    PredictCard(Predict(circuit, "X1:2"))
    HuntCard(Hunt(exercise, "your name"))
"""

from labkit.widgets.cards import (
    ChooseCard,
    NameCard,
    PredictBothCard,
    PredictCard,
    RemainsCard,
    RepairCard,
    SeparateCard,
    keep,
)
from labkit.widgets.click import ClickBench
from labkit.widgets.hunting import HuntCard
from labkit.widgets.order import OrderCard
from labkit.widgets.plain_bench import PlainBench
from labkit.widgets.preview import PreviewCard

__all__ = [
    "ChooseCard", "ClickBench", "HuntCard", "NameCard", "OrderCard", "PlainBench",
    "PredictBothCard", "PredictCard", "PreviewCard", "RemainsCard", "RepairCard", "SeparateCard",
    "keep",
]  # fmt: skip
