"""Markup and code in the words of an exercise: they come out as words, wherever they are shown."""

from __future__ import annotations

import html.parser
import io
import json
import re
import tempfile
from pathlib import Path
from random import Random
from xml.etree import ElementTree

import pypdfium2
from nbconvert import HTMLExporter
from nbformat.v4 import new_code_cell, new_notebook, new_output
from rich.console import Console

from labkit.cli import desk as cli_desk
from labkit.cli import main as cli
from labkit.cli import terminal
from labkit.drawing import draw
from labkit.exercises.exercise import Exercise, load_exercise
from labkit.handout import sheet_of, typeset
from labkit.hunts.hunt import Hunt
from labkit.widgets import ClickBench, HuntCard, PlainBench
from tests.boats import ROOT

from .tally import Tally

PAYLOADS = (
    "<script>hacked()</script>", '"><img src=x onerror=hacked()>', "</svg><svg onload=hacked()>",
    "]]><u>hacked</u>", "&lt;script&gt;hacked()&lt;/script&gt;", "' onmouseover='hacked()",
    "javascript:hacked()", "</textarea></title><iframe src=x>", "${hacked()} `hacked()` {{7*7}}",
    '#read("words.json") hacked', "$ #sys.version hacked $ <hacked> @hacked", "\\ * _ ` hacked",
    "[/b] [link=file:///]hacked[/link] :boom:", "%s %(hacked)s {hacked} {0}", "=hacked()|'a'!A0",
    "$\\hacked{$", "-- hacked -->", "&#0; &hacked; &amp", "hacked\n\nhacked\ttab",
)  # fmt: skip  # rows that a reader compares
HARMLESS = "hacked words"
"""What it is replaced by to see which elements a page has of itself."""


class _Page(html.parser.HTMLParser):
    """Notes the elements and attributes of a page, and addresses that are no picture."""

    def __init__(self) -> None:
        super().__init__()
        self.things: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.things.add(f"<{tag}>")
        for name, value in attrs:
            address = name in ("href", "xlink:href", "src", "srcdoc", "action")
            elsewhere = address and not (value or "").startswith("data:image/")
            self.things.add(f"<{tag} {name}{' elsewhere' if elsewhere else ''}>")


class Viewer:
    """Looks at pages: first at harmless ones, to know them, then for what should not be there."""

    def __init__(self) -> None:
        self.tally, self.ours, self.learning = Tally(), set[str](), True

    def page(self, name: str, text: str) -> None:
        page = _Page()
        page.feed(text)
        page.close()
        if self.learning:
            self.ours |= page.things
        elif page.things - self.ours:
            self.tally.wrong(f"{name}: {min(page.things - self.ours)} came to life")


def poisoned(folder: Path, payload: str) -> Path:
    """Write an exercise with a payload in every text that anybody reads; return its file."""
    said, short = (json.dumps(text, ensure_ascii=False) for text in (payload, payload[:55]))
    circuit = (ROOT / "exercises/circuits/washdown.toml").read_text(encoding="utf-8")
    for pattern, words in (
        ('(?m)^title *= ".*"', f"title = {said}"),
        ('label = "[^"]*"', f"label = {short}"),
        ('number = "[^"]*", color = "[^"]*"', f"number = {short}, color = {short}"),
        ('(?m)^name *= "washdown"', f"name = {short}"),
        ('"panel"', short.replace(":", "")),  # with a colon it would be a terminal
    ):
        circuit = re.sub(pattern, lambda _, words=words: words, circuit)
    (folder / "circuits").mkdir(exist_ok=True)
    (folder / "circuits" / "washdown.toml").write_text(circuit, encoding="utf-8")
    path = folder / "boat.toml"
    path.write_text(
        f'title = {short}\ncircuit = "circuits/washdown.toml"\ncomplaint = {said}\n'
        f'seen = [{said}]\ncautions = [{said}]\ncause = {said}\npositions = {{ S2 = "on" }}\n'
        'faults = ["X1 resistance 1.6 ohm"]\n[proof]\nload = "M1"\npositions = { S2 = "on" }\n',
        encoding="utf-8",
    )
    return path


def words_stay_words(rng: Random, count: int) -> Tally:
    """Each payload in every text of an exercise, and everything that shows one."""
    viewer = Viewer()
    for payload in (HARMLESS, *PAYLOADS[:count]):
        with tempfile.TemporaryDirectory() as folder:
            path = poisoned(Path(folder), payload)
            exercise = viewer.tally.attempt(payload, lambda path=path: load_exercise(path))
            if not isinstance(exercise, Exercise):
                viewer.tally.wrong(f"{payload!r}: the exercise was not read")
                continue
            for place, show in _SHOWN.items():
                if viewer.learning and show not in _PAGES:
                    continue  # it is looked through for words, and has no elements to be known
                name = f"{payload!r} in {place}"
                viewer.tally.attempt(
                    name, lambda s=show, n=name, e=exercise, p=path: s(viewer, n, e, p)
                )
        viewer.learning = False
    return viewer.tally


def _drawing(viewer: Viewer, name: str, exercise: Exercise, path: Path) -> None:
    svg = draw(exercise.circuit, wires=True).svg
    ElementTree.fromstring(svg)
    viewer.page(name, svg)


def _cards(viewer: Viewer, name: str, exercise: Exercise, path: Path) -> None:
    for plain in (True, False):
        hunt = Hunt(exercise, "Ada")
        card = HuntCard(hunt, plain=plain)
        hunt.bench.read("X1:1", "X1:2")
        card.name("X1", "high resistance")
        hunt.bench.repair("X1")
        card.prove()
        bundle = card._repr_mimebundle_()
        for kind in ("text/html", "image/svg+xml"):
            viewer.page(f"{name}, {kind}", bundle.get(kind, ""))
        for box in _below(card):
            if type(box).__name__ == "HTML":
                viewer.page(f"{name}, a line of HTML", box.value)
            elif getattr(box, "description_allow_html", False):
                viewer.tally.wrong(f"{name}: {type(box).__name__} takes its description as HTML")


def _benches(viewer: Viewer, name: str, exercise: Exercise, path: Path) -> None:
    for bench in (ClickBench(Hunt(exercise, "Ada").bench), PlainBench(Hunt(exercise, "Ada").bench)):
        bundle = bench._repr_mimebundle_()
        data = bundle[0] if isinstance(bundle, tuple) else bundle
        viewer.page(name, data.get("text/html", ""))
        if isinstance(bench, ClickBench):
            viewer.page(f"{name}, drawing sent", bench.drawing["svg"])


def _exported(viewer: Viewer, name: str, exercise: Exercise, path: Path) -> None:
    """The page that a notebook with a drawing and a hunt is exported to."""
    shown = (draw(exercise.circuit, wires=True), HuntCard(Hunt(exercise, "Ada"), plain=True))
    outputs = [new_output("display_data", one._repr_mimebundle_()) for one in shown]
    notebook = new_notebook(cells=[new_code_cell("shown", outputs=outputs)])
    viewer.page(name, HTMLExporter().from_notebook_node(notebook)[0])


def _below(box: object) -> list[object]:
    inner = list(getattr(box, "children", ()))
    return [*inner, *(deeper for one in inner for deeper in _below(one))]


def _paper(viewer: Viewer, name: str, exercise: Exercise, path: Path) -> None:
    document = pypdfium2.PdfDocument(typeset(sheet_of(exercise)))
    text = "".join(page.get_textpage().get_text_bounded() for page in document)
    if "hacked" not in text and "iframe" not in text:
        viewer.tally.wrong(f"{name}: its words are not on the page")
    if '"cautions"' in text or "version(" in text:
        viewer.tally.wrong(f"{name}: was run")


def _terminal(viewer: Viewer, name: str, exercise: Exercise, path: Path) -> None:
    shown = io.StringIO()
    console = Console(file=shown, **terminal.PLAIN, width=400, force_terminal=False)
    kept = cli.out, cli_desk.out
    cli.out = cli_desk.out = console
    try:
        for line in (f"solve {path}", f"key {path}", f"check {path.parent}"):
            cli.app(line.split(), standalone_mode=False)
    finally:
        cli.out, cli_desk.out = kept
    said = shown.getvalue()
    if "\x1b" in said or not any(word in said for word in ("hacked", "iframe")):
        viewer.tally.wrong(f"{name}: prints {said[:80]!r}")


_SHOWN = {
    "the drawing": _drawing, "a hunt's card": _cards, "a bench": _benches,
    "an export": _exported, "the page": _paper, "a terminal": _terminal,
}  # fmt: skip  # rows that a reader compares
_PAGES = (_drawing, _cards, _benches, _exported)
