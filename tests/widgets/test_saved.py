from types import SimpleNamespace

from labkit.questions import Predict
from labkit.widgets import Card, keep
from labkit.widgets.saved import WIDGET, without_views
from tests.boats import shipped


def saved(*bundles, root=None):
    cells = [{"outputs": [{"data": dict(data)} for data in bundles]}, {"source": "words"}]
    model = {"type": "notebook", "content": {"cells": cells}}
    server = root and SimpleNamespace(root_dir=str(root))
    without_views(model=model, path="a.ipynb", contents_manager=server)
    return [output["data"] for output in cells[0]["outputs"]]


def test_a_widget_with_a_picture_beside_it_is_saved_as_the_picture():
    assert saved({WIDGET: {}, "text/html": "<img>"}) == [{"text/html": "<img>"}]


def test_a_widget_of_somebody_elses_without_one_is_left_alone():
    assert saved({WIDGET: {}, "text/plain": "Slider"}) == [{WIDGET: {}, "text/plain": "Slider"}]


def test_what_is_no_notebook_or_only_moved_is_left_alone():
    for model in ({"type": "file", "content": "x"}, {"type": "notebook", "content": None}):
        before = dict(model)
        without_views(model=model, path="a")
        assert model == before


def test_a_saved_lesson_has_on_its_cards_what_its_reader_answered(tmp_path, monkeypatch):
    monkeypatch.setenv("LABKIT_RECORDS", str(tmp_path / "attempts"))
    (tmp_path / "a.toml").write_text('title = "A lesson"', encoding="utf-8")
    keep("A lesson")
    try:
        card, other = (Card(Predict(shipped("washdown"), at)) for at in ("X1:2", "panel"))
        stored = [each._repr_mimebundle_()["text/html"] for each in (card, other)]
        card.answer("1 V")
        card.answer("12.7 V")
        found = saved(*({WIDGET: {}, "text/html": html} for html in stored), root=tmp_path)
    finally:
        Card.attempt, Card.former = None, {}
    assert "You answered: 12.7 V. Right." in found[0]["text/html"]
    assert "____" not in found[0]["text/html"]
    assert found[1] == {"text/html": stored[1]}
