from labkit.widgets.preview import PreviewCard
from tests.boats import pump


def test_a_worse_joint_makes_a_slower_pump():
    card = PreviewCard(pump(), "X1 resistance", "M1", 0.01, 10.0)
    card.slider.value = 0.01
    mild, drawn = card.text, card.picture.value
    card.slider.value = 3.0
    assert "runs as it should; with the fault it runs as it should" in mild
    assert card.text.endswith("half speed.") or "barely" in card.text
    assert card.picture.value != drawn


def test_the_card_says_in_words_what_it_shows_and_leaves_a_picture():
    card = PreviewCard(pump(), "X1 resistance", "M1")
    bundle = card._repr_mimebundle_()
    assert "sound: 12." in bundle["text/plain"]
    assert '<img alt="Volts to DC-' in bundle["text/html"]
