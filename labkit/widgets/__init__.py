"""The bench and the cards on screen.

::

    bench(circuit)                     # a drawing to click
    bench(circuit, plain=True)         # lists and buttons, where scripts in a page cannot run
    ask(Predict(circuit, "X1:2"))
    hunt("exercises/slow-washdown.toml", "your name")
"""

from labkit.widgets.cards import Card, ask, keep
from labkit.widgets.click import ClickBench, bench
from labkit.widgets.hunting import HuntCard, hunt
from labkit.widgets.ladder_card import LadderCard
from labkit.widgets.plain_bench import PlainBench
from labkit.widgets.preview import PreviewCard

__all__ = [
    "Card", "ClickBench", "HuntCard", "LadderCard", "PlainBench", "PreviewCard", "ask", "bench",
    "hunt", "keep",
]  # fmt: skip
