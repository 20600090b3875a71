"""The bench and the cards on screen.

::

    bench(circuit)                     # a drawing to click
    bench(circuit, plain=True)         # lists and buttons, where scripts in a page cannot run
    ask(Predict(circuit, "X1:2"))
    hunt("exercises/slow-washdown.toml", "your name")
"""

from labkit.text.lazy import names_of

_HOMES = {
    "BoatForm": "boat_form",
    "Card": "cards",
    "ClickBench": "click",
    "FinalCard": "final_card",
    "HuntCard": "hunting",
    "JobCard": "job_card",
    "LadderCard": "ladder_card",
    "LogCard": "job_card",
    "PlainBench": "plain_bench",
    "PreviewCard": "preview",
    "ProofCard": "job_card",
    "SizeCard": "size_card",
    "ask": "cards",
    "bench": "click",
    "exam": "hunting",
    "hunt": "hunting",
    "job": "job_card",
    "keep": "cards",
    "practise": "job_card",
}

__all__ = sorted(_HOMES)

__getattr__, __dir__ = names_of(__name__, _HOMES)
