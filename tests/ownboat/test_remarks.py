"""What an owner says of the boat, and what is answered where it cannot be read."""

import pytest

from labkit.ownboat.remarks import parse_said
from labkit.text.messages import CircuitError
from tests.ownboat.boats import described

WATER = described("water")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("dims when S2 goes on", ["E1 dips S2=on"]),
        ("trips after 20 s", ["opens"]),
        ("F1 trips after 20 s", ["F1 opens"]),
        ("X1 is hot", ["X1 hot"]),
        ("X2 green", ["X2 corroded"]),
        ("the light is dark S4=on", ["E1 look is dark S4=on"]),
        ("X2 looks green", ["X2 corroded"]),
        ("M1 looks hot", ["M1 hot"]),
        ("F1 looks blown", ["F1 pull blown"]),
        ("the fuse F1 looks fine", ["F1 pull whole"]),
        ("flat by Monday", ["drains"]),
        ("nothing works", ["M1 dead", "E1 dead"]),
        ("F1 holds with S2 on", ["F1 pull whole", "F1 fit holds S2=on"]),
        ("the fuse F1 holds", ["F1 pull whole", "F1 fit holds"]),
    ],
)
def test_remarks_are_evidence(typed, meant):
    assert [str(item) for item in parse_said(typed, WATER)] == meant


def test_a_drain_that_stops_with_a_fuse_pulled_is_two_things_seen():
    for typed in ("F1 pulled: the drain stops", "F1 out, drain gone"):
        complaint, drained = map(str, parse_said(typed, WATER))
        assert complaint == "drains"
        assert drained.startswith("G1:+ clamp 0.00 A")
        assert drained.endswith("F1:1=parted")


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("", "cannot be read"),
        ("?", "cannot be read"),
        ("W1", "cannot be read"),
        ("12.3 V", "does not say where"),
        ("X1:1 12.3", "gives no unit"),
        ("X1:1 volts 12.3 A", "unit of another kind"),
        ("X1:1 volts lots", "write a number"),
        ("X1:1 volts 12..3", "write a voltage"),
        ("X77:1 12.3 V", "no terminal or node 'X77:1'"),
        ("99 12.3 V", "99"),
        ("X1:1 X1:2 X3:1 0.2 V", "found 3 leads"),
        ("X1:1 12.3 V S9=on", "no part 'S9'"),
        ("X1:1 12.3 V S2=maybe", "no position 'maybe'"),
        ("F1 look purple", "nothing is seen as 'purple'"),
        ("W1 dead", "W1 is a cable"),
        ("E1 dims when the pump starts", "does not say which switch"),
        ("X1:1 ohms 0.3 V", "unit of another kind"),
        ("M1 holds", "nothing is seen as"),
        ("F1 pulled: the lamp goes out", "nothing is seen as"),
    ],
)  # fmt: skip  # rows that a reader compares
def test_what_cannot_be_read_is_answered_in_one_sentence(typed, answer):
    with pytest.raises(CircuitError) as caught:
        parse_said(typed, WATER)
    (problem,) = caught.value.problems
    assert answer in problem
    assert "\n" not in problem
    assert len(problem) < 400
