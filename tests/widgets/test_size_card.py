import pytest

from labkit.text.messages import CircuitError
from labkit.widgets import SizeCard


def test_the_form_answers_as_it_is_filled_in():
    card = SizeCard(current="5 A", length="6 m")
    assert "Take 4 mm2 or 12 AWG: voltage drop decides" in card.lines[0]
    card.boxes["drop"].value = "10 %"
    assert "Take 1 mm2 or 16 AWG" in card.lines[0]
    assert "Take 1 mm2 or 16 AWG" in card.says.value


def test_a_number_alone_takes_its_unit_and_a_decimal_comma_is_read():
    card = SizeCard(current="5,0", length="6")
    assert card.lines == SizeCard(current="5 A", length="6 m").lines


def test_engine_space_and_bundle_ask_for_more():
    card = SizeCard(current="50 A", length="0.5 m")
    assert "10 AWG" in card.lines[0]
    card.bundle.value, card.engine_space.value = 4, True
    assert "6 AWG" in card.lines[0]


def test_what_cannot_be_read_is_said_in_a_sentence_and_escaped():
    card = SizeCard(current="five <b>", length="6 m")
    assert card.lines[0].startswith('current: found "five <b>"')
    assert "<b>five" not in card.says.value
    assert "&lt;b&gt;" in card.says.value
    card.boxes["current"].value = ""
    assert card.lines == ["Write the current."]


def test_a_dead_card_leaves_its_answer():
    bundle = SizeCard()._repr_mimebundle_()
    assert "Take 4 mm2" in bundle["text/plain"]
    assert "33 CFR 183.425" in bundle["text/html"]


def test_a_field_that_is_not_there_is_said():
    with pytest.raises(CircuitError, match="no field 'amps'; there are current, length"):
        SizeCard(amps="5 A")
