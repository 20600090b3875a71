"""Questions graded by computing the circuit, and the misconception behind a wrong answer.

Every question has `ask` (what the learner is asked) and `grade(...)`, which returns a
:class:`Verdict`. A misconception is named only where the answer is what that misconception would
predict on this very circuit.
"""

from labkit.questions.plain import Choose, Order
from labkit.questions.predict import MISCONCEPTIONS, Predict, PredictBoth
from labkit.questions.suspects import NameFault, Remains, Separate
from labkit.questions.verdict import Verdict, agrees

__all__ = [
    "MISCONCEPTIONS", "Choose", "NameFault", "Order", "Predict", "PredictBoth", "Remains",
    "Separate", "Verdict", "agrees",
]  # fmt: skip
