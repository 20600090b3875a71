"""A job on cards: at work, proven, and as it is kept; the same cards in practice and aboard."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.drawing import draw
from labkit.jobs.job_file import Done, Proof, read_job, write_job
from labkit.jobs.log import log_lines
from labkit.jobs.page import asked
from labkit.jobs.proving import judge
from labkit.jobs.work import PROVE, Weighed, Work, begun, practising
from labkit.ownboat.advice import Advice
from labkit.ownboat.words import fault_words, tells, verdicts
from labkit.text.messages import CircuitError
from labkit.text.picture import img
from labkit.widgets.quiet import Quiet

_FULL = {"width": "min(100%, 36em)"}
_LABELS = {"description_width": "initial"}
_ROW = {"flex_flow": "row wrap"}
_HOW = 'What you did and saw, such as "X1:1 DC- volts 12.3 S2=on" or "M1 dead"'
_ASK = 'What you measure, such as "X1:1 DC- volts S2=on" or "M1 look"'
_FIRST = (
    "First make safe; then read the battery at rest, at its posts, and write that down before "
    "anything else."
)


class JobCard(widgets.VBox):  # type: ignore[misc]
    """What was seen, what is left, and what to do next.

    Parameters
    ----------
    work : Work

    Attributes
    ----------
    work : Work
    weighed : Weighed
        As it stands.
    """

    def __init__(self, work: Work) -> None:
        self.work = work
        practice = work.practice is not None
        self.box = widgets.Text(
            placeholder=_ASK if practice else _HOW,
            layout=_FULL,
            continuous_update=False,
            description="Measure" if practice else "Did and saw",
            style=_LABELS,
        )
        self.write = _button("Measure" if practice else "Write it down", self._written)
        self.back = _button("Take the last one back", self._undone)
        self.says, self.seen, self.left = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self.next = widgets.VBox()
        drawing = draw(work.circuit)
        alt = f"{drawing.title}. {drawing.description}"
        super().__init__(
            [
                widgets.HTML(img(drawing.svg, alt, drawing.width)),
                widgets.HTML(self._opening()),
                widgets.HBox([self.box, self.write, self.back], layout=_ROW),
                self.says,
                self.seen,
                self.left,
                self.next,
                *([self._naming()] if practice else []),
                Quiet(),
            ]
        )
        self.add_class("labkit-card")
        self._refresh(0)

    def _opening(self) -> str:
        if self.work.practice is not None:
            return f"<p><b>Practice.</b> {escape(self.work.practice.opening())}</p>"
        said = "; ".join(self.work.job.complaint)
        head = f"<p><b>Complaint:</b> {escape(said)}</p>" if said else ""
        return f"{head}<p>{_FIRST}</p>"

    def __repr__(self) -> str:
        return "\n".join([*self.work.job.seen, *self.weighed.lines])

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        html = self._opening() + self.seen.value + self.left.value + self._next_html()
        return {**bundle, "text/plain": repr(self), "text/html": html}

    def see(self, *texts: str) -> Standing:
        """Write down what was seen, as the button does; return what is left.

        Raises
        ------
        CircuitError
            If it cannot be read.
        """
        self.work.see(*texts)
        self._refresh(len(texts))
        return Standing(self)

    # -- buttons ---------------------------------------------------------------------------------

    def _written(self) -> None:
        text = self.box.value.strip()
        if not text:
            self._say("Write in the box what you did and what it showed.")
            return
        self._tried(lambda: self.work.see(text), 1)

    def _undone(self) -> None:
        self._tried(self.work.undo, 0)

    def _tried(self, act: Callable[[], object], last: int) -> None:
        try:
            act()
        except CircuitError as error:
            self._say(error.problems[0])
            return
        self.box.value = ""
        self._refresh(last)

    def _say(self, text: str) -> None:
        self.says.value = f'<p role="alert">{escape(text)}</p>' if text else ""

    def _take(self, advice: Advice) -> None:
        """Measure what is advised: the practice boat answers; aboard the box is made ready."""
        if self.work.practice is not None:
            self._tried(lambda: self.work.see(str(advice.measurement)), 1)
            return
        self.box.value = f"{advice.measurement} "
        self.box.focus()
        self._say("Put what it showed behind it, and write it down.")

    def _cannot(self, advice: Advice) -> None:
        self._tried(lambda: self.work.cannot_reach(advice.measurement.red.partition(":")[0]), 0)

    # -- what is shown ---------------------------------------------------------------------------

    def _refresh(self, last: int) -> None:
        self._say("")
        self.weighed = self.work.weighed(last)
        rows = "".join(f"<li>{escape(text)}</li>" for text in self.work.job.seen)
        self.seen.value = f"<ol>{rows}</ol>" if rows else ""
        self.left.value = f'<div role="status">{left_html(self.weighed, self.work.circuit)}</div>'
        self.next.children = [self._advised(a) for a in self.weighed.found.next]

    def _advised(self, advice: Advice) -> Any:
        take = _button("Do this", lambda: self._take(advice))
        cannot = _button("Cannot get there", lambda: self._cannot(advice))
        return widgets.VBox(
            [
                widgets.HTML(_advice_html(advice, self.weighed)),
                widgets.HBox([take, *([] if self.work.practice else [cannot])], layout=_ROW),
            ]
        )

    def _next_html(self) -> str:
        return "".join(_advice_html(a, self.weighed) for a in self.weighed.found.next)

    # -- practice --------------------------------------------------------------------------------

    def _naming(self) -> Any:
        parts = self.work.circuit.parts
        names = [
            (f"{id} {mode.word}", f"{id} {key}")
            for id, part in parts.items()
            for key, mode in part.modes.items()
        ]
        self.name = widgets.Dropdown(options=names, description="It is", style=_LABELS)
        self.verdict = widgets.HTML()
        return widgets.VBox(
            [
                widgets.HBox(
                    [
                        self.name,
                        _button("Name it", self._named),
                        _button("Give up", lambda: self._told("give up")),
                    ],
                    layout=_ROW,
                ),
                self.verdict,
            ]
        )

    def _named(self) -> None:
        self._told(f"name {self.name.value}")

    def _told(self, typed: str) -> None:
        assert self.work.practice is not None
        said = self.work.practice.do(typed)
        self.verdict.value = f'<p role="alert">{escape(said)}</p>'


class Standing:
    """How a job stands after what was seen last, for a page that shows no second card."""

    def __init__(self, card: JobCard) -> None:
        self._text = "\n".join(card.weighed.lines)
        self._html = left_html(card.weighed, card.work.circuit) + card._next_html()

    def __repr__(self) -> str:
        return self._text

    def _repr_html_(self) -> str:
        return self._html


def left_html(weighed: Weighed, circuit: Circuit) -> str:
    """What is left, as bars with their words and numbers."""
    found = weighed.found
    names = [(fault_words(x.name, circuit), x.belief) for x in found.remains[:8]]
    names.append(("something else, or not to be told yet", found.unlisted))
    bars = "".join(
        f'<tr><th scope="row" style="text-align:left;font-weight:400;padding-right:1em">'
        f'{escape(name)}</th><td style="text-align:right;padding-right:.5em">{belief:.0%}</td>'
        f'<td style="width:10em"><div style="width:{100 * belief:.0f}%;min-width:1px;height:.8em;'
        f'background:var(--jp-brand-color1,#1565c0)"></div></td></tr>'
        for name, belief in names
    )
    fell = f"<p>{escape(weighed.ruled_out)}</p>" if weighed.fell else ""
    said = [*verdicts(found, weighed.inference), *([PROVE] if found.settled else [])]
    told = "".join(f"<p>{escape(line)}</p>" for line in said)
    return f"{fell}<table>{bars}</table>{told}"


def _advice_html(advice: Advice, weighed: Weighed) -> str:
    rows = "".join(f"<li>{escape(text)}</li>" for text in tells(advice, weighed.inference))
    m, minutes = advice.measurement, f"{advice.minutes:.1f} min"
    before, does = asked(m, weighed.inference.boat.drawn)
    return (
        f"<p>{escape(before)} <b>{escape(does)}</b> ({minutes}) <code>{escape(str(m))}</code></p>"
        f"<ul>{rows}</ul>"
    )


def job(
    file: str | Path, boat: str = "", *complaint: str, without: str | Sequence[str] = (),
    load: str = "", started: str = "",
) -> JobCard:  # fmt: skip  # rows that a reader compares
    """Open a job on a card: one that is there, or a new one.

    Parameters
    ----------
    file : str or Path
    boat : str
        The circuit file, from where the job's file lies; to begin a job.
    *complaint : str
        Such as "M1 slow".
    without : str or list of str
        Tools that are not aboard.
    load : str
        That is complained of; the first complaint's where not said.
    started : str
        Day it was begun, such as "2026-05-02"; today where not said.
    """
    tools = [without] if isinstance(without, str) else list(without)
    day = started or date.today().isoformat()
    return JobCard(begun(Path(file), boat, complaint, tools, load, day))


def practise(
    boat: str | Path, load: str = "", seed: str = "", without: str | Sequence[str] = ()
) -> JobCard:
    """Practise on a boat like one's own: the same card, and the boat answers.

    Parameters
    ----------
    boat : str or Path
        A circuit file.
    load : str
        That shows something is wrong.
    seed : str
        The same deals the same again.
    without : str or list of str
        Tools that are not aboard.
    """
    tools = [without] if isinstance(without, str) else list(without)
    return JobCard(practising(load_circuit(Path(boat)), load, seed, tools))


class ProofCard(widgets.VBox):  # type: ignore[misc]
    """Two voltages while the load runs, judged; and what was done, written into the job.

    Parameters
    ----------
    file : str or Path
        The job's.
    critical : bool
        Hold it to 3 %.
    **texts
        What stands in it at first, such as ``source="12.21"``.
    """

    _FIELDS = (
        ("source", "Volts at the battery's posts, the load running"),
        ("load", "Volts across the load, straight after"),
        ("part", "Part that had failed"),
        ("what", "What was done"),
        ("why", "Why it had failed"),
        ("also", "What else was found"),
    )

    def __init__(self, file: str | Path, critical: bool = False, **texts: str) -> None:
        self.file, self.critical = Path(file), critical
        work, circuit, _ = read_job(self.file)
        self._circuit = circuit
        held = {**work.done.model_dump(), **work.proof.model_dump(), **texts}
        self.boxes = {
            key: widgets.Text(
                value=held.get(key, ""), description=label, style=_LABELS, layout=_FULL
            )
            for key, label in self._FIELDS
        }
        self.says = widgets.HTML()
        keep = _button("Judge it and write it down", self.keep)
        super().__init__([*self.boxes.values(), keep, self.says, Quiet()])
        self.add_class("labkit-card")
        self.text = "Read both voltages while the load runs."
        if texts:
            self.keep()

    def __repr__(self) -> str:
        return self.text

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        rows = "".join(
            f"<li>{label}: {escape(self.boxes[key].value) or '________'}</li>"
            for key, label in self._FIELDS
        )
        html = f"<ul>{rows}</ul><p>{escape(self.text)}</p>"
        return {**bundle, "text/plain": repr(self), "text/html": html}

    def keep(self) -> None:
        """Judge the proof, and write all of it into the job."""
        typed = {key: box.value.strip() for key, box in self.boxes.items()}
        try:
            verdict = judge(typed["source"], typed["load"], self._circuit.system, self.critical)
            if typed["part"]:
                self._circuit.part(typed["part"])
        except CircuitError as error:
            self._tell(error.problems[0])
            return
        done = Done(**{key: typed[key] for key in Done.model_fields})
        proof = Proof(**{key: typed[key] for key in Proof.model_fields})
        now = read_job(self.file)[0]
        write_job(self.file, now.model_copy(update={"done": done, "proof": proof}))
        self._tell(verdict.text)

    def _tell(self, text: str) -> None:
        self.text = text
        self.says.value = f'<p role="alert">{escape(text)}</p>'


class LogCard(widgets.VBox):  # type: ignore[misc]
    """A job as it is kept aboard."""

    def __init__(self, file: str | Path) -> None:
        self.file = Path(file)
        self.says = widgets.HTML()
        super().__init__([self.says, _button("Read it again", self.refresh)])
        self.refresh()

    def __repr__(self) -> str:
        return "\n".join(self.lines)

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        return {**bundle, "text/plain": repr(self), "text/html": self.says.value}

    @property
    def lines(self) -> list[str]:
        """What it says."""
        work, circuit, _ = read_job(self.file)
        return log_lines(work, circuit)

    def refresh(self) -> None:
        """Show the file as it is now."""
        self.says.value = f"<pre style='white-space:pre-wrap'>{escape(repr(self))}</pre>"


def _button(label: str, act: Callable[[], object]) -> Any:
    made = widgets.Button(description=label, layout={"width": "auto", "min_height": "36px"})
    made.on_click(lambda _: act())
    return made
