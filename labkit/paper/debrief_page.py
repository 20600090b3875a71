"""A hunt looked back on as a chart: its suspects against minutes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from labkit.paper.charts import STYLES, Chart
from labkit.paper.steps_table import Row


def suspects_left(paths: Mapping[str, Sequence[Row]]) -> Chart:
    """Draw suspects left against minutes.

    Parameters
    ----------
    paths : mapping of str to sequence of Row
        What each path is called, and its steps.
    """
    lines = {name: _points(rows) for name, rows in paths.items() if rows}
    described = "; ".join(
        f"{name}: " + ", ".join(f"{left} at {minutes:.1f} min" for minutes, left in points)
        for name, points in lines.items()
    )

    def paint(figure: Any) -> None:
        axes = figure.subplots()
        for (name, points), (color, mark, stroke) in zip(lines.items(), STYLES, strict=False):
            minutes, left = zip(*points, strict=True)
            axes.step(
                minutes,
                [max(n, 0.5) for n in left],
                where="post",
                color=color,
                marker=mark,
                linestyle=stroke,
                linewidth=2,
                markersize=7,
                label=name,
            )
        most = max(left for points in lines.values() for _, left in points)
        ticks = [2**n for n in range(most.bit_length() + 1)]
        none = any(left == 0 for points in lines.values() for _, left in points)
        axes.set_yscale("log", base=2)
        axes.set_yticks(
            [0.5, *ticks] if none else ticks, (["0"] if none else []) + [*map(str, ticks)]
        )
        axes.set_xlim(left=0)
        axes.set_xlabel("minutes")
        axes.set_ylabel("suspects left")
        axes.grid(axis="y", color="0.88", linewidth=0.8)
        axes.spines[["top", "right"]].set_visible(False)
        axes.legend(frameon=False)

    return Chart(f"Suspects left against minutes. {described}", paint, (3.5, 2.8))


def _points(rows: Sequence[Row]) -> list[tuple[float, int]]:
    points, minutes = [(0.0, rows[0].before)], 0.0
    for row in rows:
        minutes += row.minutes
        points.append((minutes, row.left))
    return points
