"""Questions graded by computing the circuit, and the misconception behind a wrong answer.

Every question has `ask` (what the learner is asked) and `grade(...)`, which returns a
:class:`Verdict`. A misconception is named only where the answer is what that misconception would
predict on this very circuit.
"""

from labkit.questions.choices import Choose, Order
from labkit.questions.misconceptions import MISCONCEPTIONS
from labkit.questions.naming import NameFault
from labkit.questions.predict import Predict, PredictBoth
from labkit.questions.repair import Cause, Repair
from labkit.questions.sorting import Remains, Separate
from labkit.questions.surveying import SurveyBoat
from labkit.questions.verdict import Verdict, agrees

__all__ = [
    "MISCONCEPTIONS", "Cause", "Choose", "NameFault", "Order", "Predict", "PredictBoth", "Remains",
    "Repair", "Separate", "SurveyBoat", "Verdict", "agrees",
]  # fmt: skip  # rows that a reader compares
