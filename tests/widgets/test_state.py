"""What a page is told of a bench: all a person could see, and nothing of what is wrong."""

import json
import re
from pathlib import Path

from labkit import load_circuit
from labkit.aboard.bench import Bench
from labkit.widgets import ClickBench

ROOT = Path(__file__).parents[2]
CIRCUITS = ROOT / "exercises" / "circuits"


def test_nothing_but_readings_differs_once_something_was_measured() -> None:
    sound = load_circuit(CIRCUITS / "washdown.toml").with_position(S1="on", S2="on")
    states = []
    for circuit in (sound, sound.with_fault("X1 resistance 0.8 ohm")):
        view = ClickBench(Bench(circuit))
        for key in ("W2:2", "X1:2"):
            view.handle({"ask": "touch", "with": {"key": key}})
        state = {**view.get_state(), "layout": "an id of its own"}
        state["meter"] = {**state["meter"], "display": "", "spoken": ""}
        for lines in (state["history"], state["more"]["lines"]):
            lines[:] = [{**line, "shows": ""} for line in lines]
        state["said"] = {**state["said"], "message": ""}
        states.append(state)
    assert states[0] == states[1]


def test_the_script_and_the_style_are_files_of_the_package_and_fetch_nothing() -> None:
    folder = ROOT / "labkit" / "widgets"
    for name in ("bench.js", "bench.css"):
        text = (folder / name).read_text()
        assert not re.search(r"https?://(?!www\.w3\.org)|@import|\bimport\s|\bfetch\(", text)
        assert "innerHTML" not in text


def test_the_page_can_ask_only_for_what_is_known() -> None:
    bench = Bench(load_circuit(CIRCUITS / "washdown.toml"))
    view = ClickBench(bench)
    view.handle({"ask": "__init__", "with": {}})
    view.handle({})
    assert bench.log == []
    assert repr(view) == f"<ClickBench {bench.circuit.title!r}: 0 acts, 0.0 min>"


def test_a_page_that_has_the_log_is_sent_its_new_lines_and_whoever_comes_later_all(
    monkeypatch,
) -> None:
    sent: list[dict] = []
    monkeypatch.setattr(ClickBench, "_send", lambda _, told, buffers=None: sent.append(told))
    view = ClickBench(Bench(load_circuit(CIRCUITS / "washdown.toml")))
    for _ in range(30):
        view.handle({"ask": "operate", "with": {"id": "M1"}})
    updates = [told["state"] for told in sent if told["method"] == "update"]
    assert [state["more"]["from"] for state in updates[-30:]] == [*range(30)]
    assert not any("history" in state for state in updates)
    assert len(json.dumps(updates[-1])) < 1.1 * len(json.dumps(updates[-20]))
    assert len(view.get_state()["history"]) == 30
