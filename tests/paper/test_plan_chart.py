"""A plan as a figure: nothing over anything else, nothing cut off, and all of it in words too."""

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from labkit.diagnosis import Node, adviser_for, parse_seen, plan
from labkit.diagnosis.phrases import suspects
from labkit.paper.plan_chart import plan_chart
from tests.boats import shipped

PUMP = shipped("washdown")
SEEN = parse_seen("M1 look turns at about half speed S2=on", PUMP)


def drawn(chart):
    """The figure, and the boxes of its texts in inches from the top left."""
    figure = Figure(figsize=chart.size, dpi=100)
    canvas = FigureCanvasAgg(figure)
    chart.paint(figure)
    canvas.draw()
    (axes,) = figure.axes
    boxes = {}
    for text in axes.texts:
        box = text.get_window_extent()
        boxes[text.get_text(), round(box.y0)] = box
    return axes, boxes


@pytest.fixture(scope="module")
def tree():
    adviser = adviser_for(PUMP)
    return plan(adviser, adviser.start.copy().see(SEEN))


def test_no_text_lies_on_another_or_beyond_the_edge(tree):
    chart = plan_chart(tree, PUMP)
    _, boxes = drawn(chart)
    wide, high = (100 * side for side in chart.size)
    placed = list(boxes.values())
    assert len(placed) > 30
    for n, box in enumerate(placed):
        assert box.x0 >= 0
        assert box.x1 <= wide
        assert box.y0 >= 0
        assert box.y1 <= high
        assert not any(box.overlaps(other) for other in placed[n + 1 :])


def test_every_end_is_there_with_its_chance_and_the_minutes_to_it(tree):
    axes, boxes = drawn(plan_chart(tree, PUMP))
    ends = list(tree.leaves())
    assert len(axes.patches) == len(ends) > 5
    shares = [bar.get_width() for bar in axes.patches]
    assert sum(shares) / shares[0] == pytest.approx(
        sum(end.chance for end in ends) / ends[0].chance
    )
    first, minutes = tree, 0.0
    while first.branches:
        minutes += first.minutes
        first = first.branches[0][1]
    assert f"{100 * first.chance:.0f} %, {minutes:.0f} min" in {text for text, _ in boxes}


def test_what_is_read_aloud_names_every_end_and_draws_no_lines(tree):
    alt = plan_chart(tree, PUMP).alt
    assert not set("│├└─") & set(alt)
    assert all(suspects(end.names, len(end.names)) in alt for end in tree.leaves())


def test_a_plan_of_nothing_to_do_is_one_end():
    chart = plan_chart(Node(1.0, ["X1 open"]), PUMP)
    axes, boxes = drawn(chart)
    assert len(axes.patches) == 1
    assert {text for text, _ in boxes} == {"X1 open", "100 %, 0 min"}
    assert chart.alt == "X1 open: nothing in reach tells more."
