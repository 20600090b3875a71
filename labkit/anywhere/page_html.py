"""The page itself: hunts to choose from, each with its words, its drawing and lines to write on.

Where scripts are off, or on paper, it is a worksheet.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from importlib import resources
from typing import Any

from labkit.anywhere.laid import OTHERS, Laid
from labkit.drawing.drawing import Drawing
from labkit.exercises.surveys import SurveyExercise
from labkit.widgets.still import bare

TITLE = "Finding faults in a boat's DC electrics"
SECRETS = (
    "The fault lies in this browser, and whoever looks for it there finds it: this is for "
    "practice, not for exams."
)
INVENTED = "All boats, people and stories are invented."
_LINES = 10
_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data: blob:; "
    "script-src 'unsafe-inline' 'unsafe-eval' 'wasm-unsafe-eval' blob:; "
    "worker-src {own} blob:; connect-src {own} blob: data:; form-action 'none'; base-uri 'none'"
)


def html_of(
    hunts: Sequence[Laid],
    pieces: Mapping[str, tuple[str, int]],
    embedded: Mapping[str, str] | None = None,
    licences: str = "",
) -> str:
    """Return the page as HTML.

    Parameters
    ----------
    hunts : sequence of Laid
    pieces : mapping of str to (str, int)
        What its Python starts from: the file beside the page, and its size in bytes.
    embedded : mapping of str to str, optional
        The pieces themselves as text, where everything is in one file.
    licences : str
        To stand in the page where there is no file beside it.
    """
    facts = {
        "title": TITLE,
        "offline": embedded is None,
        "pieces": {name: {"file": file, "size": size} for name, (file, size) in pieces.items()},
        "hunts": {one.slug: {"title": one.exercise.title} for one in hunts},
    }
    inside = "".join(
        f'<script type="text/plain" id="piece-{name}">{text}</script>'
        for name, text in (embedded or {}).items()
    )
    terms = (
        f"<details><summary>Licences</summary><pre>{escape(licences)}</pre></details>"
        if licences
        else '<p><a href="LICENCES.txt">Licences</a></p>'
    )
    policy = _POLICY.format(own="'self'" if embedded is None else "'none'").replace("'none' b", "b")
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(TITLE)}</title><style>{_file('page.css')}\n{_widget('bench.css')}</style>"
        '<script>document.documentElement.classList.add("live");</script></head><body>'
        '<a class="skip" href="#main">To the hunts</a>'
        f'<header>{_header()}</header><main id="main">{_list(hunts)}'
        f"{''.join(map(_hunt, hunts))}</main>"
        f'<footer><p class="quiet">{escape(INVENTED)} Before you touch a real boat: cut off what '
        "feeds it, and leave mains, fuel and whatever keeps her afloat to licensed people where "
        f"your law says so.</p>{terms}</footer>"
        f'<script type="application/json" id="facts">{_safe(json.dumps(facts))}</script>'
        f'<script type="text/plain" id="bench">{_bench()}</script>'
        f'<script type="text/plain" id="unpacking">{_file("unpacking.js")}</script>'
        f'<script type="text/plain" id="worker">{_file("worker.js")}</script>'
        f"{inside}<script>{_file('unpacking.js')}</script>"
        f'<script type="module">{_file("page.js")}</script></body></html>\n'
    )


def _file(name: str) -> str:
    return (resources.files("labkit.anywhere") / name).read_text("utf-8")


def _widget(name: str) -> str:
    return (resources.files("labkit.widgets") / name).read_text("utf-8")


def _bench() -> str:
    """The notebook's own script, as the notebook has it."""
    return "\n".join(map(_widget, ("paper.js", "bench.js")))


def _safe(text: str) -> str:
    return text.replace("<", "\\u003c")


def _header() -> str:
    return (
        f'<h1 tabindex="-1">{escape(TITLE)}</h1>'
        '<p class="sheet-only">This is a worksheet: print it, and write down what you would '
        "measure. Where scripts run in your browser, it is a bench to work at.</p>"
        f'<div class="live-only"><p class="quiet">{escape(SECRETS)}</p>'
        '<div class="keeping"><label for="learner">Your name <input id="learner" '
        'autocomplete="name" maxlength="80" aria-describedby="deals"></label>'
        '<p id="deals" class="quiet">It decides which fault you are dealt.</p>'
        '<button type="button" class="plain" id="save-all" hidden>Save</button>'
        '<p id="kept" class="quiet"></p></div>'
        '<p id="python" role="status" class="quiet"></p>'
        '<p><a id="back" href="#" hidden>All hunts</a></p></div>'
    )


def _list(hunts: Sequence[Laid]) -> str:
    groups: dict[str, list[Laid]] = {}
    for one in hunts:
        groups.setdefault(one.teaches, []).append(one)
    body = "".join(
        f"<section><h2>{escape(name)}</h2><ol>{''.join(map(_link, members))}</ol></section>"
        for name, members in sorted(groups.items(), key=lambda group: group[0] == OTHERS)
    )
    orders = "".join(
        f'<label><input type="radio" name="order" value="{value}"{checked}> {words}</label>'
        for value, checked, words in (
            ("teaches", " checked", "by what they teach"),
            ("level", "", "by how hard they are"),
        )
    )
    order = f'<fieldset id="order" class="live-only"><legend>Listed</legend>{orders}</fieldset>'
    return f'<div id="list">{order}<nav id="hunts" aria-label="Hunts">{body}</nav></div>'


def _link(one: Laid) -> str:
    level = f" <em>level {one.level} of 5</em>" if one.level else ""
    link = f'<a href="#hunt-{one.slug}">{escape(one.exercise.title)}</a>'
    return f'<li data-level="{one.level}">{link}{level}<span></span></li>'


def _hunt(one: Laid) -> str:
    exercise, id = one.exercise, f"hunt-{one.slug}"
    survey = " survey" if isinstance(exercise, SurveyExercise) else ""
    return (
        f'<section class="hunt{survey}" id="{id}" aria-labelledby="{id}-head">'
        f'<h2 id="{id}-head" tabindex="-1">{escape(exercise.title)}</h2>'
        f"<blockquote>{escape(exercise.complaint)}</blockquote>"
        f"<p>What can be seen and heard:</p>{_ul(exercise.seen)}"
        f"<p><strong>Cautions</strong></p>{_ul(exercise.cautions)}"
        f'<div class="live-only"><p class="trouble" role="status"></p><div class="table"></div>'
        '<div class="over"></div><p><button type="button" class="plain save">'
        "Save this attempt as a file</button></p></div>"
        f"{_sheet(one)}"
        "</section>"
    )


def _sheet(one: Laid) -> str:
    """What is printed: the drawing, and lines to write on. A survey is walked by its drawing."""
    if isinstance(one.exercise, SurveyExercise):
        return f'{_figure(one.drawing)}<div class="sheet-only">{_survey(one.states)}</div>'
    drawn = _figure(one.drawing)
    if one.paper is not one.drawing:
        drawn = f"<div hidden>{drawn}</div>{_figure(one.paper)}"
    return f'<div class="sheet-only">{drawn}{_lines()}</div>'


def _figure(drawing: Drawing) -> str:
    return f"<figure>{bare(drawing.svg)}</figure>"


def _survey(asked: Mapping[str, Any]) -> str:
    """What is fitted in the boat that is dealt to who gives no name, and claims to tick."""
    head = "<tr><td></td><th>as drawn</th><th>as found aboard</th></tr>"
    rows = "".join(
        f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in cells)}</tr>"
        for cells in asked["fitted"]
    )
    claims = "".join(f"<li>{escape(claim)}</li>" for claim in asked["claims"])
    return (
        f'<table class="fitted"><thead>{head}</thead><tbody>{rows}</tbody></table>'
        f'<p>{escape(asked["survey"])}</p><ul class="to-tick">{claims}</ul>'
    )


def _ul(texts: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(text)}</li>" for text in texts) + "</ul>"


def _lines() -> str:
    heads: dict[str, Any] = {
        "switches, what is apart": "30%",
        "red lead": "14%",
        "black lead": "14%",
        "it read": "14%",
        "what that rules out": "28%",
    }
    head = "".join(
        f'<th scope="col" style="width:{wide}">{name}</th>' for name, wide in heads.items()
    )
    row = f"<tr>{'<td></td>' * len(heads)}</tr>"
    ends = "".join(f"<p>{what}: <span></span></p>" for what in ("At fault", "Why", "Proven by"))
    return (
        f'<div class="to-write"><table><thead><tr>{head}</tr></thead>'
        f"<tbody>{row * _LINES}</tbody></table>{ends}</div>"
    )
