"""The page to take aboard as PDF: the same words and figures, with lines to write on."""

from __future__ import annotations

import math
from typing import Any

from labkit.handout.sheet import Sheet
from labkit.handout.typeset import Paper, typeset
from labkit.jobs.bands import Cell
from labkit.jobs.page import NOTHING_FITS, STOP, Page, Place, asked
from labkit.jobs.page_html import below, range_words
from labkit.jobs.plan import Step
from labkit.jobs.proving import CRITICAL, OTHER
from labkit.measuring.meter import FUNCTIONS
from labkit.ownboat.words import fault_words


def pdf_of(page: Page, paper: Paper = "a4") -> bytes:
    """Return the page as PDF."""
    return typeset(Sheet(words_of(page), page.drawing), paper, "aboard.typ")


def words_of(page: Page) -> dict[str, Any]:
    """Everything that is printed, as plain data."""
    drawing, job = page.drawing, page.job
    return {
        "title": page.circuit.title,
        "file": page.file,
        "started": job.started,
        "complaint": list(job.complaint),
        "seen": list(job.seen),
        "load": job.load or "the load",
        "cautions": page.cautions,
        "make_safe": page.make_safe,
        "stop": list(STOP),
        "nothing_fits": list(NOTHING_FITS),
        "charge": f"{page.charge_first:g} V",
        "batteries": [[f"{b.id} ({b.label})", b.measured] for b in page.batteries],
        "rested": ", ".join(f"{b.id} {b.volts:.2f} V" for b in page.batteries),
        "places": [[place.name, place.says] for place in page.places],
        "points": _points(page),
        "faults": [f"{name} ({share:.0%})" for name, share in page.faults],
        "faulty": [_faulty(page, place) for place in page.places[-2:]],
        "steps": _steps(page),
        "limits": f"{CRITICAL:.0%} of {page.circuit.system:g} V where the boat's safety hangs on "
        f"it, else {OTHER:.0%}",
        "width": drawing.width,
        "height": drawing.height,
        "description": drawing.description,
    }


def _points(page: Page) -> list[list[str]]:
    """Number, terminals, then for each situation the band and room for the reading."""
    rows = []
    for points in zip(*(place.points for place in page.places), strict=True):
        bands = [cell for point in points for cell in (below(point.sound, page), "")]
        rows.append([str(points[0].number), ", ".join(points[0].terminals), *bands])
    return rows


def _faulty(page: Page, place: Place) -> dict[str, Any]:
    """One situation: a row for each point, a column for each fault, * outside the band."""
    rows = [
        [str(p.number), *(_short(cell, p.sound, page) for cell in p.faulty)] for p in place.points
    ]
    return {"name": place.name, "rows": rows}


def _short(cell: Cell, sound: Cell, page: Page) -> str:
    """A loss below the battery with a minus sign, or volts above negative without."""
    if math.isnan(cell.volts):
        return "unsteady*"
    which = f"{page.batteries[cell.battery].id} " if len(page.batteries) > 1 else ""
    lost = f"{max(cell.loss, 0.0):.2f}"
    text = (
        f"{cell.loss:.2f}" if cell.battery < 0 else which + (f"−{lost}" if float(lost) else "full")
    )
    return text + "*" * cell.differs(sound)


def _steps(page: Page) -> list[dict[str, Any]]:
    """The steps that ask for something, numbered as they are printed."""
    asking = [step for step in page.steps if step.measurement is not None]
    number = {step.number: n for n, step in enumerate(asking, 1)}

    def to(step: Step) -> str:
        """Where an outcome leads: a step, a name, or what is left where the plan ends."""
        if step.number in number:
            return f"step {number[step.number]}"
        if step.named:
            return "it is " + " or ".join(fault_words(name, page.circuit) for name in step.named)
        left = [fault_words(x.name, page.circuit) for x in step.left[:3]]
        return "left: " + (", ".join(left) or "nothing that is drawn")

    made = []
    for step in asking:
        m = step.measurement
        assert m is not None
        assert step.otherwise is not None
        unit = FUNCTIONS[m.function].unit if m.function in FUNCTIONS else ""
        before, does = asked(m, page.circuit)
        made.append(
            {
                "number": number[step.number],
                "before": before,
                "does": does,
                "confirms": step.confirms,
                "otherwise": to(page.steps[step.otherwise]),
                "ways": [[w.word or range_words(w, unit), to(page.steps[w.to])] for w in step.ways],
            }
        )
    return made
