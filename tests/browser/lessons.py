"""Open lessons in a browser, run all cells, and look for answers to questions nobody has answered.

``python -m tests.browser.lessons [--look FOLDER] [number ...]`` does all of them and prints a line
for each; with --look it puts pictures of each into a folder, wide, narrow and dark, and names what
an accessibility checker finds serious.
"""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import nbformat
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from labkit.lessons.lesson import Lesson
from labkit.questions import Predict
from tests.boats import EXERCISES, ROOT
from tests.browser.lab import Server, laboratory, run_all

NOTEBOOKS = ROOT / "notebooks"
FILES = sorted(NOTEBOOKS.glob("*.toml"))
LEAST = 24  # shorter pieces of a sentence stand in other places by right
SEEN = """() => {
    const book = document.querySelector('.jp-NotebookPanel-notebook');
    const words = [book.textContent, ...[...book.querySelectorAll('[alt],[aria-label],[title]')]
        .flatMap(e => [e.alt, e.ariaLabel, e.title])];
    return words.filter(Boolean).join(' ');
}"""
SCROLLER = """(document.querySelector('.jp-WindowedPanel-outer')
    ?? document.querySelector('.jp-NotebookPanel-notebook'))"""
TALL = f"() => {SCROLLER}.scrollHeight"
TALLEST = 16_000  # what a browser draws at once [px]
WIDER = f"""() => {{
    const room = {SCROLLER}.getBoundingClientRect().right;
    const scrolls = (e) => e && (/auto|scroll|hidden/.test(getComputedStyle(e).overflowX)
        && e.scrollWidth > e.clientWidth + 1 || scrolls(e.parentElement));
    return [...{SCROLLER}.querySelectorAll('p, li, button, img, svg, table, select, input')]
        .filter(e => e.checkVisibility() && e.getBoundingClientRect().right > room + 2
            && !e.closest('.view') && !scrolls(e.parentElement))
        .map(e => e.outerHTML.slice(0, 100)).slice(0, 3).join(' | ');
}}"""
OURS = {
    "include": [[".jp-RenderedMarkdown"], [".jp-OutputArea-output"]],
    "exclude": [[".jp-collapseHeadingButton"]],
}
"""What of a page is the workbook's and not the notebook's application."""
SCROLLED = """() => (document.querySelector('.jp-WindowedPanel-outer')
    ?? document.querySelector('.jp-NotebookPanel-notebook')).scrollTop"""


def settle(server: Server) -> None:
    """Have whole notebooks on the page, not only what is in sight."""
    server._set(
        "notebook-extension", "tracker",
        {"autoStartDefaultKernel": True, "windowingMode": "none"},
    )  # fmt: skip  # rows that a reader compares


def lay(server: Server) -> None:
    """Copy the course to where the server finds it."""
    for name, source in (("lessons", NOTEBOOKS), ("exercises", EXERCISES)):
        shutil.copytree(
            source, server.files / name, dirs_exist_ok=True,
            ignore=shutil.ignore_patterns("conftest.py", ".*"),
        )  # fmt: skip  # rows that a reader compares


def plain(text: str) -> str:
    """Words alone, so that markup and line ends do not count."""
    return " ".join(re.findall(r"[\w.%'-]+", text))


def given_away(lesson: Lesson, seen: str) -> Iterator[str]:
    """Everything on the page that waits behind a question, and every answer told beside one."""
    free = [lesson.words(name) for name in lesson.places if not lesson.after(name)]
    free += [
        f"{part.id} {part.label}" for boat in lesson.boats.values() for part in boat.parts.values()
    ]  # they stand on the drawings
    page, told = plain(seen), plain("\n".join([_markdown(lesson), *free]))
    for name in lesson.places:
        if not lesson.after(name):
            continue
        for piece in re.split(r"[\n.|:]+", lesson.words(name)):
            words = plain(piece)
            if len(words) >= LEAST and words in page and words not in told:
                yield f"{name}: {words}"
    for name, question in lesson.questions.items():
        if isinstance(question, Predict) and plain(question.reading.display) in plain(question.ask):
            yield f"{name}: {question.reading.display}"
    for words in ("✓ Right", "✗ Not yet"):
        if words in seen:
            yield words


def _markdown(lesson: Lesson) -> str:
    book = nbformat.read(lesson.file.with_suffix(".ipynb"), as_version=4)
    asked = [question.ask for question in lesson.questions.values()]
    return "\n".join([*(c.source for c in book.cells if c.cell_type == "markdown"), *asked])


def opened(page: Page, server: Server, file: Path, run: bool = True) -> None:
    """Open a lesson's notebook, run all of it, and wait for its last output."""
    page.goto(server.address(f"lessons/{file.stem}.ipynb"))
    if run:
        run_all(page)
        page.wait_for_timeout(3000)  # views come after their cells


def look(page: Page, folder: Path, name: str) -> Iterator[str]:
    """Take pictures of a lesson, and name what is serious for whoever cannot see or point well."""
    for width, theme in ((1300, "Light"), (400, "Light"), (1300, "Dark")):
        page.set_viewport_size({"width": width, "height": 800})
        page.evaluate(
            "theme => window.jupyterapp.commands.execute('apputils:change-theme', { theme })",
            f"JupyterLab {theme}",
        )
        page.wait_for_timeout(1500)
        tall = int(page.evaluate(TALL)) + 120
        page.set_viewport_size({"width": width, "height": min(tall, TALLEST)})
        page.wait_for_timeout(1500)
        page.screenshot(path=folder / f"{name}-{width}-{theme.lower()}.png")
        wide = page.evaluate(WIDER)
        if wide:
            yield f"{width} px: wider than the page: {wide}"
        found = Axe().run(page, context=OURS).response["violations"]
        for fault in found:
            if fault["impact"] in ("serious", "critical"):
                yield f"{theme} {width}: {fault['id']}: {fault['nodes'][0]['html'][:150]}"


def main() -> None:
    words = sys.argv[1:]
    at = words.index("--look") if "--look" in words else len(words)
    numbers, folder = [*words[:at], *words[at + 2 :]], next(map(Path, words[at + 1 :]), None)
    with laboratory() as lab:
        settle(lab.server)
        lay(lab.server)
        for file in [f for f in FILES if not numbers or f.stem.partition("-")[0] in numbers]:
            context = lab.browser.new_context(viewport={"width": 1300, "height": 800})
            page = context.new_page()
            page.set_default_timeout(120_000)
            opened(page, lab.server, file)
            found = list(given_away(Lesson(file), page.evaluate(SEEN)))
            print(f"{file.stem}: {len(found)} given away, scrolled {page.evaluate(SCROLLED)} px")
            print(*(f"  {line}" for line in found), sep="\n", end="\n" if found else "")
            if folder is not None:
                folder.mkdir(parents=True, exist_ok=True)
                print(
                    *(f"  {line}" for line in look(page, folder, file.stem)), sep="\n", flush=True
                )
            context.close()
            lab.server.end_kernels()


if __name__ == "__main__":
    main()
