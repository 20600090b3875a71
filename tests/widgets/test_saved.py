from labkit.widgets.saved import WIDGET, without_views


def saved(*bundles):
    cells = [{"outputs": [{"data": dict(data)} for data in bundles]}, {"source": "words"}]
    model = {"type": "notebook", "content": {"cells": cells}}
    without_views(model=model, path="a.ipynb", contents_manager=None)
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
