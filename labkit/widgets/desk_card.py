"""The instructor's desk on one card: files edited with their drawing and findings beside them.

What a button does is a command, and what it prints stands on the card as a terminal would show it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from labkit.circuits.circuit import Circuit
from labkit.desk.pages import findings, kind_page
from labkit.desk.starter import start, templates
from labkit.diagnosis.faults import in_use
from labkit.drawing import draw
from labkit.exercises.dealing import is_hand
from labkit.exercises.exercise import Exercise
from labkit.exercises.files import load
from labkit.parts import KINDS
from labkit.text.files import write
from labkit.text.messages import CircuitError, NoConvergenceError
from labkit.text.picture import img
from labkit.text.plain_file import text_of
from labkit.text.toml_file import LARGEST_FILE, read_toml
from labkit.widgets.cards import text
from labkit.widgets.class_tab import ClassTab
from labkit.widgets.fault_panel import FaultPanel
from labkit.widgets.find_tab import FindTab
from labkit.widgets.quiet import Quiet

Run = Callable[[Sequence[str]], str]
"""Runs a command, given in words, and returns what it prints."""

_LABEL = {"description_width": "7em"}
_WIDE = {"width": "min(100%, 34em)"}
_STYLE = (
    "<style>.labkit-desk textarea{font-family:var(--jp-code-font-family,monospace);"
    "font-size:13px;line-height:1.4;white-space:pre;overflow:auto}"
    ".labkit-desk pre{font-size:12px;line-height:1.35;overflow-x:auto;margin:0;"
    "white-space:pre}"
    ".labkit-desk table{border-collapse:collapse;line-height:1.35}"
    ".labkit-desk td,.labkit-desk th{padding:.15em .6em .15em 0;text-align:left;"
    "vertical-align:top}"
    ".labkit-desk td:last-child{min-width:12em}"
    ".labkit-desk .jupyter-widgets{max-width:calc(100% - 4px)}"  # their margins come on top
    ".labkit-desk .widget-html-content{overflow-x:auto}"
    ".labkit-desk .lm-TabBar-content{flex-wrap:wrap;height:auto}"
    ".labkit-desk .lm-TabBar .lm-TabBar-tab{flex:0 0 auto;max-width:none}</style>"
)


class DeskCard(widgets.VBox):  # type: ignore[misc]
    """An instructor's own folder: choose a file, edit it, see it, and have commands run on it.

    Parameters
    ----------
    folder : str or Path
        Made when something is first written to it.
    run : callable
        Runs a command.
    course : Path, optional
        Where the course's exercises lie.

    Attributes
    ----------
    file : Dropdown
        The files of the folder.
    text : Textarea
        What stands in the one chosen.
    findings : list of str
        What was found wrong with it when it was last saved or opened.
    """

    def __init__(self, folder: str | Path, run: Run, course: Path | None = None) -> None:
        self.folder, self._run = Path(folder), run
        self.findings: list[str] = []
        self._was = ""
        self.file = widgets.Dropdown(description="File", style=_LABEL, layout=_WIDE)
        self.text = widgets.Textarea(layout={"width": "100%", "height": "34em"})
        self.says, self.picture, self.printed = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self.panel = FaultPanel()
        self.of_class = of = ClassTab(self.folder, self.run, lambda: self.path)
        self.hunts = FindTab(self.folder, course, lambda: [*self.file.options], self.open_file)
        self._tabs = widgets.Tab(
            [
                self.panel,
                self._print_tab(),
                widgets.VBox([of, self.printed, of.page]),
                self.hunts,
                self._kinds_tab(),
            ],
            titles=["See a fault", "Check and print", "Class", "Find a hunt", "Kinds of parts"],
        )
        super().__init__(
            [
                widgets.HTML(_STYLE),
                self._new_row(),
                _row(self.file, _button("Look again", self.list_files)),
                widgets.HBox(
                    [
                        _column(2, self.text),
                        _column(1, _row(_button("Save", self.save)), self.says),
                    ],
                    layout={"flex_flow": "row wrap", "align_items": "flex-start"},
                ),
                self.picture,
                self._tabs,
                Quiet(),
            ]
        )
        self.add_class("labkit-desk")
        self.add_class("labkit-card")
        self.file.observe(lambda _: self.take_up(), "value")
        self.list_files()

    def __repr__(self) -> str:
        return f"The instructor's desk on the folder {self.folder}: run this notebook."

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        html = f"<p>{escape(repr(self))}</p>{self.says.value}{self.picture.value}"
        return {**bundle, "text/plain": repr(self), "text/html": html}

    # -- files -----------------------------------------------------------------------------------

    @property
    def path(self) -> Path | None:
        """The file that is open."""
        return self.folder / self.file.value if self.file.value else None

    def list_files(self) -> None:
        """Read anew which circuits and exercises there are."""
        files = filter(_is_ours, self.folder.rglob("*.toml"))
        names = sorted((path.relative_to(self.folder).as_posix() for path in files), key=_depth)
        chosen = self.file.value
        self.file.options = names
        self.file.value = chosen if chosen in names else next(iter(names), None)
        if not names:
            self._tell(["no files here yet; name an exercise above, and start"])

    def start(self, name: str, circuit: str = "") -> None:
        """Write a starter exercise on a template, or on a circuit file of this folder."""
        stem = name.strip().removesuffix(".toml")
        if not stem:
            self._tell(["name the new exercise first, such as galley-lamp"])
            return
        try:
            start(self.folder / f"{stem}.toml", circuit)
        except CircuitError as error:
            self._tell(error.problems)
            return
        self.open_file(f"{stem}.toml")

    def open_file(self, name: str) -> None:
        """Open a file of the folder, a new one too."""
        self.list_files()
        self.file.value = name

    def take_up(self) -> None:
        """Take up the file chosen."""
        if self.path is None:
            return
        try:
            self._was = self.text.value = text_of(self.path, LARGEST_FILE)
        except CircuitError as error:
            self._tell(error.problems)
            return
        self.look(opened=True)

    def save(self) -> None:
        """Write the text to its file, and look at what it now is."""
        if self.path is None:
            return
        try:
            if self.path.exists() and text_of(self.path, LARGEST_FILE) != self._was:
                raise CircuitError(
                    [
                        "was changed elsewhere since it was opened here, and is not written over; "
                        "copy what you need, and choose the file again"
                    ]
                )
            write(self.path, self.text.value)
        except CircuitError as error:
            self._tell(error.problems)
            return
        self._was = self.text.value
        self.look()

    def look(self, opened: bool = False) -> None:
        """Draw the file that is open, and say what is wrong with it; if just opened, its fault."""
        assert self.path is not None
        try:
            loaded = load(self.path)
            found = findings(loaded)
        except CircuitError as error:
            self._tell(error.problems)
            return
        except NoConvergenceError as error:
            self._tell([str(error)])
            return
        circuit = loaded if isinstance(loaded, Circuit) else loaded.circuit
        drawing = draw(circuit)
        alt = f"{drawing.title}. {drawing.description}"
        self.picture.value = img(drawing.svg, alt, drawing.width)
        self._tell(found)
        proof = loaded.proof if isinstance(loaded, Exercise) else None
        on = proof.positions if proof else in_use(circuit)[0]
        self.panel.show(circuit.with_position(**on), proof.load if proof else "")
        if opened and isinstance(loaded, Exercise):
            self.panel.turn_to(loaded.variant(0).circuit.faults[0])

    def _tell(self, problems: Sequence[str]) -> None:
        self.findings = [_bare(problem, self.path) for problem in problems]
        items = "".join(f"<li>{escape(problem)}</li>" for problem in self.findings)
        said = f"<ul>{items}</ul>" if items else "<p><b>✓</b> Nothing is wrong with it.</p>"
        self.says.value = text(said, "status")

    # -- commands --------------------------------------------------------------------------------

    def run(self, *words: str) -> str:
        """Run a command, show what it prints, and return that."""
        self.printed.value = text("<p>…</p>", "status")
        shown = self._run(words)
        line = escape(" ".join(f'"{word}"' if " " in word else word for word in words))
        said = f"<code>$ labkit {line}</code><pre>{escape(shown)}</pre>"
        self.printed.value = text(said, "status")
        return shown

    def _on_file(self, *words: str, after: Sequence[str] = ()) -> Callable[[], object]:
        """Return what runs a command on the file that is open."""
        return lambda: self.path and self.run(*words, str(self.path), *after)

    # -- tabs ------------------------------------------------------------------------------------

    def _new_row(self) -> Any:
        name = widgets.Text(
            description="New exercise",
            placeholder="galley-lamp",
            style=_LABEL,
            layout={"width": "18em"},
        )
        base = widgets.Combobox(
            description="on",
            value="lamp",
            options=list(templates()),
            ensure_option=False,
            style={"description_width": "2em"},
            layout={"width": "16em"},
            tooltip="a template, or a circuit file of your own",
        )
        return _row(name, base, _button("Start", lambda: self.start(name.value, self._on(base))))

    def _on(self, base: Any) -> str:
        """The template named, or the circuit file of this folder."""
        own = self.folder / base.value
        return str(own) if base.value and own.is_file() else str(base.value)

    def _print_tab(self) -> Any:
        sheet = self._on_file("sheet", after=["-o", str(self.folder / "sheet.pdf"), "--overwrite"])
        return widgets.VBox(
            [
                _row(
                    _button("Check this file", self._on_file("check")),
                    _button("Check the whole folder", lambda: self.run("check", str(self.folder))),
                    _button("Variants, a line each", self._on_file("key", "--short")),
                    _button("The whole key", self._on_file("key")),
                    _button("A page to take aboard (sheet.pdf)", sheet),
                ),
                self.printed,
            ]
        )

    def _kinds_tab(self) -> Any:
        kind = widgets.Dropdown(description="Kind", options=sorted(KINDS), style=_LABEL)
        page = widgets.HTML(value=kind_page(kind.value))
        kind.observe(lambda change: setattr(page, "value", kind_page(change.new)), "value")
        return widgets.VBox([kind, page])


def _is_ours(path: Path) -> bool:
    """Tell whether a file is a circuit, an exercise or none that can be read yet."""
    try:
        return not is_hand(path) and bool({"run", "circuit"} & read_toml(path).keys())
    except CircuitError:
        return True


def _depth(name: str) -> tuple[int, str]:
    """Sort exercises before their circuits, which lie in a folder below."""
    return name.count("/"), name


def _bare(problem: str, path: Path | None) -> str:
    return problem.removeprefix(f"{path}: ") if path else problem


def _column(share: int, *items: Any) -> Any:
    """Return what takes so many shares of a row, and a row of its own where that is narrow."""
    return widgets.VBox(list(items), layout={"flex": f"{share} 1 {share * 13}em", "min_width": "0"})


def _row(*items: Any) -> Any:
    return widgets.HBox(list(items), layout={"flex_flow": "row wrap", "align_items": "center"})


def _button(words: str, act: Callable[[], object]) -> Any:
    button = widgets.Button(description=words, layout={"width": "auto"})
    button.on_click(lambda _: act())
    return button
