"""The page to take aboard as one file for a telephone: no network, no other file, no program.

Without scripts everything on it can be read, and the plan is followed by its links; with them the
bands follow the battery, the plan shows one step at a time, and what is typed is kept.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from html import escape
from importlib import resources

from labkit.jobs.bands import Cell
from labkit.jobs.page import NOTHING_FITS, STOP, Page, Place, asked
from labkit.jobs.plan import Step, Way
from labkit.jobs.proving import CRITICAL, FLAT, OTHER
from labkit.measuring.meter import FUNCTIONS
from labkit.ownboat.words import fault_words
from labkit.text.quantities import show

_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; "
    "form-action 'none'; base-uri 'none'"
)
_PARTS = (
    ("safe", "Make safe"), ("battery", "The battery at rest"), ("drawing", "Drawing"),
    ("plan", "Plan"), ("sound", "What a sound boat shows"), ("faults", "What faults show"),
    ("notes", "Notes"), ("proof", "Conclusion and proof"), ("out", "Take the notes out"),
    ("stop", "When to stop"),
)  # fmt: skip  # rows that a reader compares


def html_of(page: Page) -> str:
    """Return the page as a whole HTML file."""
    bodies = {
        "safe": _safe(page),
        "battery": _battery(page),
        "drawing": _drawing(page),
        "plan": _plan(page),
        "sound": _sound(page),
        "faults": _faults(page),
        "notes": _notes(),
        "proof": _proof(page),
        "out": _out(),
        "stop": _stop(),
    }
    links = "".join(f'<li><a href="#{key}">{title}</a></li>' for key, title in _PARTS)
    sections = "".join(
        f'<section id="{key}" aria-labelledby="{key}-head"><h2 id="{key}-head" tabindex="-1">'
        f"{title}</h2>{bodies[key]}</section>"
        for key, title in _PARTS
    )
    title = f"{page.circuit.title}: a page to take aboard"
    about = [page.file, page.job.started, *(f"“{text}”" for text in page.job.complaint)]
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{_file('page.css')}</style></head><body>"
        '<a class="skip" href="#main">To the page</a>'
        f"<header><h1>{escape(page.circuit.title)}</h1>"
        f"<p>{escape(' · '.join(word for word in about if word))}</p></header>"
        f'<nav aria-label="On this page"><ul>{links}</ul></nav>'
        f'<main id="main" tabindex="-1">{sections}</main>'
        '<p id="said" class="spoken" role="status" aria-live="polite"></p>'
        f'<script type="application/json" id="facts">{_facts(page)}</script>'
        f"<script>{_file('page.js')}</script></body></html>\n"
    )


def _file(name: str) -> str:
    return (resources.files("labkit.jobs") / name).read_text("utf-8")


def _facts(page: Page) -> str:
    facts = {
        "file": page.file,
        "batteries": [{"id": b.id, "volts": round(b.volts, 4)} for b in page.batteries],
        "charge": page.charge_first,
        "system": page.circuit.system,
        "limits": {"critical": CRITICAL, "other": OTHER, "flat": FLAT},
    }
    return json.dumps(facts).replace("<", "\\u003c")


def _list(lines: Iterable[str], kind: str = "ul") -> str:
    return f"<{kind}>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + f"</{kind}>"


def _safe(page: Page) -> str:
    return f"{_list(page.cautions)}<h3>Before the first lead</h3>{_list(page.make_safe, 'ol')}"


def _stop() -> str:
    return (
        f"<p>Stop, cut the battery off, and call somebody who is qualified, if</p>{_list(STOP)}"
        f"<h3 id='nothing' tabindex='-1'>When nothing fits</h3>{_list(NOTHING_FITS, 'ol')}"
    )


def _battery(page: Page) -> str:
    boxes = "".join(
        f'<p class="field"><label for="rest-{n}">{escape(b.id)} ({escape(b.label)}), volts across '
        f'its posts</label><input id="rest-{n}" class="volts" inputmode="decimal" '
        f'autocomplete="off" value="{escape(b.measured.split()[0] if b.measured else "")}" '
        f'data-line="{b.id}:+ {b.id}:- volts|V|"></p>'
        for n, b in enumerate(page.batteries)
    )
    each = "the battery" if len(page.batteries) < 2 else "each battery, nothing joining them,"
    return (
        f"<p>First of all, with everything off and no charger on for an hour: read {each} at "
        "its posts, not at its clamps. What this page expects elsewhere follows it. Below "
        f"{page.charge_first:g} V, charge it before anything else is judged.</p>"
        f'{boxes}<p id="rested" class="verdict"></p>'
    )


def _drawing(page: Page) -> str:
    return (
        "<p>Numbers in circles are test points. Drag it sideways, or widen it with two fingers.</p>"
        '<div class="wide paper" role="region" tabindex="0" aria-label="Drawing, scrolls sideways">'
        f"{page.drawing.svg}</div>"
        f"<details><summary>The same in words</summary><p>{escape(page.drawing.description)}</p>"
        "</details>"
    )


# -- what is expected -----------------------------------------------------------------------------


def below(cell: Cell, page: Page) -> str:
    """What a sound boat may show, below its battery or above negative."""
    if math.isnan(cell.volts):
        return "unsteady"
    low, high = (f"{value:.2f}" for value in cell.band)
    return f"{low} to {high} V{_of(cell, page)}"


def one_below(cell: Cell, page: Page) -> str:
    """What a fault shows, the same way."""
    if math.isnan(cell.volts):
        return "unsteady"
    return f"{cell.loss:.2f}{_of(cell, page)}".replace("-", "−")


def _of(cell: Cell, page: Page) -> str:
    if cell.battery < 0:
        return ""
    return f" below {page.batteries[cell.battery].id}" if len(page.batteries) > 1 else " below"


def _data(cell: Cell, band: bool) -> str:
    if math.isnan(cell.volts):
        return ""
    follows = " ".join(f"{f:.3f}" for f in cell.follows)
    spread = f' data-s="{cell.spread:.4f}"' if band else ""
    return f' data-v="{cell.volts:.4f}" data-k="{follows}"{spread}'


def _sound(page: Page) -> str:
    said = (
        "<p>Black lead on DC−, red lead on the point. Nineteen sound boats of twenty show what "
        "stands here: <em>below</em> means below the battery at rest. Once you have typed what "
        "your battery shows above, it is said in volts.</p>"
    )
    return said + "".join(_table(place, n, page) for n, place in enumerate(page.places))


def _table(place: Place, number: int, page: Page) -> str:
    rows = []
    for point in place.points:
        m = point.measurement
        id = f"yours-{number}-{point.number}"
        tail = str(m).partition(" volts")[2]
        rows.append(
            f'<tr><th scope="row">{point.number}<small>{escape(", ".join(point.terminals))}'
            f'</small></th><td class="band"{_data(point.sound, True)}>'
            f"{below(point.sound, page)}</td>"
            f'<td><input id="{id}" class="volts yours" inputmode="decimal" autocomplete="off" '
            f'aria-label="You read at point {point.number}, {escape(place.name)}" '
            f'data-line="{m.red} {m.black} volts|V|{escape(tail)}"><span class="verdict"></span>'
            "</td></tr>"
        )
    head = '<th scope="col">point</th><th scope="col">sound boat</th><th scope="col">yours</th>'
    return (
        f"<details{' open' if number == len(page.places) - 1 else ''}><summary>{escape(place.name)}"
        f"</summary><table><caption>{escape(place.says)}</caption><thead><tr>{head}</tr></thead>"
        f"<tbody>{''.join(rows)}</tbody></table></details>"
    )


def _faults(page: Page) -> str:
    said = (
        "<p>Volts to DC− with one fault, at its likeliest size, and everything else sound. "
        "<strong>Bold</strong>: outside what a sound boat shows.</p>"
    )
    made = [_fault(page, n, name, share) for n, (name, share) in enumerate(page.faults)]
    return said + "".join(made)


def _fault(page: Page, number: int, name: str, share: float) -> str:
    places = page.places[-2:]
    heads = "".join(f'<th scope="col">{escape(place.name)}</th>' for place in places)
    rows = []
    for points in zip(*(place.points for place in places), strict=True):
        cells = []
        for point in points:
            cell = point.faulty[number]
            text, tag = one_below(cell, page), "b" if cell.differs(point.sound) else "span"
            cells.append(f"<td><{tag}{_data(cell, False)}>{text}</{tag}></td>")
        first = points[0]
        rows.append(f'<tr><th scope="row">{first.number}</th>{"".join(cells)}</tr>')
    return (
        f"<details><summary>{escape(name)} <small>({share:.0%})</small></summary>"
        f'<div class="wide" role="region" tabindex="0" aria-label="{escape(name)}">'
        '<table class="few">'
        f'<thead><tr><th scope="col">point</th>{heads}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table></div></details>"
    )


# -- the plan -------------------------------------------------------------------------------------


def _plan(page: Page) -> str:
    rested = ", ".join(f"{b.id} at {b.volts:.2f} V" for b in page.batteries)
    said = (
        "<p>Tap what you see, or type what you read: the next step follows. Readings you type are "
        "written down below, under Notes.</p>"
        "<p class='other'><a href='#stop'>When to stop</a></p>"
        f"<noscript><p>Volts near the battery's are said for {escape(rested)} at rest.</p>"
        "</noscript>"
    )
    return said + '<div id="steps">' + "".join(_step(step, page) for step in page.steps) + "</div>"


def _step(step: Step, page: Page) -> str:
    head = f'<h3 id="step-{step.number}-head" tabindex="-1">Step {step.number + 1}</h3>'
    left = ", ".join(
        f"{escape(fault_words(x.name, page.circuit))} {x.belief:.0%}" for x in step.left
    )
    parts = [head]
    m = step.measurement
    if m is None:
        parts.append(_end(step, page))
    else:
        before, does = asked(m, page.circuit)
        parts += [f"<p>{escape(before)}</p>" if before else "", f"<p><b>{escape(does)}</b></p>"]
        if step.confirms:
            parts.append("<p>This is the reading at the part itself, before it is named.</p>")
        parts.append(_ways(step, page))
    parts.append(f'<p class="left">Likeliest now: {left}.</p>' if left else "")
    return f'<section class="step" id="step-{step.number}">{"".join(parts)}</section>'


def _ways(step: Step, page: Page) -> str:
    m = step.measurement
    assert m is not None
    unit = FUNCTIONS[m.function].unit if m.function in FUNCTIONS else ""
    head = " ".join(word for word in (m.red, m.black, m.function) if word)
    tail = str(m)[len(head) :]
    ways = "".join(f"<li>{_way(way, unit, head, tail, step.follows)}</li>" for way in step.ways)
    typed = ""
    if any(not way.word for way in step.ways):
        shown = {"ohm": "Ω"}.get(unit, unit)
        typed = (
            f'<p class="field"><label for="reads-{step.number}">It reads, in {shown}</label>'
            f'<input id="reads-{step.number}" class="reads" inputmode="decimal" autocomplete="off" '
            f'data-line="{escape(head)}|{unit}|{escape(tail)}">'
            f'<button type="button" class="take" hidden>Go on</button></p>'
        )
    other = ""
    if step.otherwise is not None:
        other = (
            f'<p class="other"><a class="way aside" href="#step-{step.otherwise}">Cannot get there'
            "</a> <a href='#nothing'>Nothing fits</a></p>"
        )
    return f'{typed}<ul class="ways">{ways}</ul>{other}'


def _way(way: Way, unit: str, head: str, tail: str, moved: Sequence[float]) -> str:
    link = f'<a class="way" href="#step-{way.to}"'
    if way.word:
        line = escape(f"{head} {way.word}{tail}")
        return f'{link} data-word="{escape(way.word)}" data-says="{line}">{escape(way.word)}</a>'
    edges = "".join(
        f' data-{name}="{edge:.4g}"'
        for name, edge in (("low", way.low), ("high", way.high))
        if math.isfinite(edge)
    )
    follows = f' data-follows="{" ".join(f"{k:.3f}" for k in moved)}"' if moved else ""
    return f'{link}{edges}{follows} data-unit="{unit}">{escape(range_words(way, unit))}</a>'


def range_words(way: Way, unit: str) -> str:
    """The readings one outcome holds: 'below 0.30 V', '0.30 to 11.8 V'."""
    low, high = (show(edge, unit, 3) if math.isfinite(edge) else "" for edge in (way.low, way.high))
    if not low:
        return f"below {high}" if high else f"any number of {unit}"
    return f"{low} to {high}" if high else f"above {low}"


def _end(step: Step, page: Page) -> str:
    named = " or ".join(fault_words(name, page.circuit) for name in step.named)
    if not named:
        return (
            "<p><b>The page goes no further here.</b> Measure across each part named below with "
            "the load running, the likeliest first: a sound one loses next to nothing. Or take "
            "your readings home to the program.</p>"
            "<p class='other'><a href='#nothing'>Nothing fits</a></p>"
        )
    apart = " No test in reach tells them apart." if len(step.named) > 1 else ""
    return (
        f"<p><b>It is {escape(named)}.</b>{apart} Cut the battery off, mend it, find out why it "
        "failed, and prove the repair under load.</p>"
        "<p class='other'><a href='#proof'>Conclusion and proof</a></p>"
    )


# -- places to write ------------------------------------------------------------------------------


def _area(id: str, label: str, rows: int) -> str:
    return (
        f'<p class="field tall"><label for="{id}">{label}</label>'
        f'<textarea id="{id}" rows="{rows}"></textarea></p>'
    )


def _line(id: str, label: str, numeric: bool = False) -> str:
    kind = ' class="volts" inputmode="decimal"' if numeric else ""
    return (
        f'<p class="field"><label for="{id}">{label}</label>'
        f'<input id="{id}" autocomplete="off"{kind}></p>'
    )


def _notes() -> str:
    return (
        '<p id="kept" class="verdict">Nothing typed here is kept unless scripts run.</p>'
        + _area("readings", "Readings, one a line, as the program reads them", 6)
        + _area("remarks", "What else you saw", 4)
    )


def _proof(page: Page) -> str:
    load = page.job.load or "the load"
    return (
        "<h3>Conclusion</h3>"
        + _line("part", "Part that had failed")
        + _line("shows", "The reading that shows it")
        + _line("why", "What made it fail")
        + _line("what", "What was done, and what else is to be put right")
        + f"<h3>Proof, with {escape(load)} running</h3>"
        + _line("source", "Volts at the battery's posts", True)
        + _line("load", f"Volts across {escape(load)}, straight after", True)
        + '<p id="proven" class="verdict"></p>'
        f"<p>Lost out and back, at most: {CRITICAL:.0%} of {page.circuit.system:g} V where the "
        f"boat's safety hangs on it, else {OTHER:.0%}.</p>"
    )


def _out() -> str:
    return (
        "<p>Everything typed above as text. At home, save it as a file and let "
        "<code>labkit job seen JOB --from FILE</code> read it.</p>"
        '<p class="buttons"><button type="button" id="copy" hidden>Copy</button> '
        '<button type="button" id="save" hidden>Save as a file</button> '
        '<button type="button" id="clear" hidden>Wipe all notes</button></p>'
        '<p class="field tall"><label for="text">The notes as text</label>'
        '<textarea id="text" rows="8" readonly></textarea></p>'
    )
