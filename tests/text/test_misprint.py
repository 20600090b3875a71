"""Slips in a file's own grammar are named with their line and what would be right."""

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.text.messages import CircuitError

RIGHT = """\
title  = "invented lamp"
system = "12 V"

[[run]]
from  = "DC-"
to    = "stud"
parts = [
  { id = "G1", is = "battery", emf = "12.6 V" },  # an old one
]

[[run]]
from  = "stud"
to    = "DC-"
parts = [
  { id = "S1", is = "switch", position = "on" },
  { id = "W1", is = "cable", size = "6 AWG", length = "2 m" },
  { id = "E1", is = "lamp", power = "21 W" },
]
"""


def refusal(tmp_path, text):
    file = tmp_path / "lamp.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(CircuitError) as refused:
        load_circuit(file)
    (problem,) = refused.value.problems
    assert problem.startswith(f"{file}: ")
    return problem.removeprefix(f"{file}: ")


def test_the_file_is_right_before_anybody_slips(tmp_path):
    (tmp_path / "lamp.toml").write_text(RIGHT, encoding="utf-8")
    assert len(load_circuit(tmp_path / "lamp.toml").parts) == 4


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"2 m" },', '"2 m" }', "line 16: a comma is missing at its end"),
        ('"2 m" },', '"2 m" ,', "line 16: a { is not closed"),
        ("an old one\n]", "an old one", "line 10: the list above it is not closed; write ]"),
        ('W" },\n]\n', 'W" },\n', "the file ends too early; write the ] that closes its last list"),
        ('= "on"', "= on", 'line 15: found on; write text and quantities in quotes, "on"'),
        ('= "12 V"', "= 12 V", 'line 2: found 12 V; write text and quantities in quotes, "12 V"'),
        ('"12 V"', "“12 V”", "line 2: found a curved quotation mark; write straight ones"),
        ("[[run]]", "[run]", "line 11: found [run]; write [[run]], two brackets on either side"),
        ("title  =", "title:", 'line 1: a value without its =; write key = "value"'),
        ('size = "6', 'size "6', 'line 16: a value without its =; write key = "value"'),
        ('AWG", ', 'AWG" ', "line 16: a comma is missing between two keys"),
        ('"2 m"', '"2 m', "line 16: a quotation mark is missing"),
        ('"12 V"', '"12 V"\nsystem = "24 V"', "line 3: 'system' stands twice; keep one of them"),
        ('parts = [\n  { id = "G', 'parts =\n  { id = "G', "line 7: invalid value, found"),
    ],
)  # fmt: skip  # rows that a reader compares
def test_a_slip_is_named_with_its_line_and_what_would_be_right(tmp_path, old, new, said):
    assert old in RIGHT
    text = RIGHT.replace(old, new) if old == "[[run]]" else RIGHT.replace(old, new, 1)
    assert refusal(tmp_path, text).startswith(f"is not TOML: {said}")


@pytest.mark.parametrize(
    ("word", "meant"), [("wire", "cable"), ("splice", "joint"), ("bulb", "lamp")]
)
def test_what_people_call_a_part_leads_to_its_kind(tmp_path, word, meant):
    text = RIGHT.replace('is = "cable"', f'is = "{word}"')
    assert refusal(tmp_path, text).endswith(f'part W1, is: no part "{word}"; write "{meant}"')
