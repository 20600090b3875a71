"""The page to take aboard: its bands, its plan, and what it is printed on."""

import dataclasses
import itertools
import random
import re
from html.parser import HTMLParser

import numpy as np
import pypdfium2
import pytest
from typer.testing import CliRunner

from labkit.circuits.circuit_file import load_circuit
from labkit.cli.main import app
from labkit.diagnosis.evidence import Evidence
from labkit.exercises.situations import probe
from labkit.jobs.bands import Bands, needed, rests, situations_of
from labkit.jobs.job_file import Job, job_text, read_job
from labkit.jobs.page import page_of
from labkit.jobs.page_html import html_of
from labkit.jobs.page_pdf import pdf_of
from labkit.measuring.meter import read
from labkit.ownboat.boat import Boat
from labkit.ownboat.drawn import drawn_from

STEPS = 4  # of the plan: enough for branches, and soon worked out

BOAT = """\
title = "Anchor light"
[[run]]
name = "light"
from = "DC-"
to = "DC-"
parts = [
  { id = "G1", is = "battery", emf = "?" },
  { id = "F1", is = "fuse", rating = "5 A" },
  { id = "S1", is = "switch", label = "anchor light" },
  { id = "W1", is = "cable", size = "1.5 mm2", length = "about 12 m", reach = "4 min" },
  { id = "E1", is = "lamp", power = "10 W", reach = "5 min" },
  { id = "X1", is = "joint", label = "mast foot" },
]
"""


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("aboard")
    (folder / "boat.toml").write_text(BOAT)
    job = Job(boat="boat.toml", load="E1", complaint=["E1 dim"], without=["clamp"],
              seen=["G1:+ G1:- volts 12.4 V"])  # fmt: skip  # rows that a reader compares
    (folder / "light.job.toml").write_text(job_text(job))
    return folder / "light.job.toml"


@pytest.fixture(scope="module")
def page(job):
    return page_of(*read_job(job), job.name, STEPS)


class Links(HTMLParser):
    """Ids, links, and whatever would be fetched from elsewhere."""

    def __init__(self, text):
        super().__init__()
        self.ids, self.links, self.fetched, self.labels, self.inputs = set(), [], [], set(), []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        keys = dict(attrs)
        if "id" in keys:
            assert keys["id"] not in self.ids, f"id {keys['id']} twice"
            self.ids.add(keys["id"])
        self.links += [keys["href"]] if "href" in keys else []
        self.fetched += [keys[k] for k in ("src", "srcset", "data", "poster") if k in keys]
        self.fetched += [keys["href"]] if tag == "link" else []
        if tag == "label":
            self.labels.add(keys["for"])
        if tag in ("input", "textarea"):
            self.inputs.append(keys)


def test_the_html_file_stands_alone_and_is_small(page):
    text = html_of(page)
    found = Links(text)
    assert found.fetched == []
    assert "url(" not in text
    assert "@import" not in text
    assert len(text.encode()) < 500_000
    for link in found.links:
        assert link[:1] == "#"
        assert link[1:] in found.ids


def test_every_box_on_it_has_a_label(page):
    found = Links(html_of(page))
    for keys in found.inputs:
        assert keys["id"] in found.labels or keys.get("aria-label")


def test_words_from_the_boats_file_cannot_become_markup(page):
    circuit = dataclasses.replace(page.circuit, title="<script>alert(1)</script> & co")
    text = html_of(dataclasses.replace(page, circuit=circuit, file='a"</script>.job.toml'))
    assert "<script>alert" not in text
    assert text.count("</script>") == 2


def test_nineteen_of_twenty_sound_boats_lie_within_the_bands(job):
    _, circuit, _ = read_job(job)
    chance = random.Random(3)
    inside, many, known = 0, 0, Boat(circuit)
    for _ in range(25):
        boat = drawn_from(circuit, chance)
        volts = read(boat, "G1:+", "G1:-").value
        bands = Bands(known, [dataclasses.replace(r, volts=volts) for r in rests(known, [])])
        for place in situations_of(circuit, "E1"):
            there = place.of(boat)
            for point in circuit.test_points:
                if point.node == "DC-":
                    continue
                cell = bands.sound(bands.measurement(place, point.terminals))
                seen = read(there, probe(point.terminals, place.parted), "DC-").value
                low, high = cell.volts - 2 * cell.spread, cell.volts + 2 * cell.spread
                inside += low <= seen <= high
                many += 1
    assert inside / many > 0.93


def test_the_band_is_a_loss_below_the_battery_as_it_was_measured(page):
    lit = page.places[-1]
    assert lit.name == "E1 on"
    before, last = (point.sound for point in lit.points[2:4])  # at both ends of the wire
    assert lit.points[3].terminals == ("W1:2", "E1:1")
    assert last.battery == 0
    assert last.volts == pytest.approx(12.4 - last.loss)
    amps, ohms = 10 / 12, 1.7241e-8 * 12 / 1.5e-6  # of the wire one way, IEC 60028
    assert last.loss - before.loss == pytest.approx(amps * ohms, rel=0.05)


def test_only_the_switches_a_load_needs_are_on():
    circuit = load_circuit("exercises/circuits/cabin-panel.toml")
    loads = [id for id in circuit.parts if id.startswith("E")]
    on = needed(circuit, loads[0])
    assert sum(word != circuit.parts[id].off() for id, word in on.items()) < len(on)


def test_every_way_through_the_plan_ends_and_every_step_has_one_for_who_cannot_get_there(page):
    seen, waiting = set(), [0]
    while waiting:
        step = page.steps[waiting.pop()]
        assert step.number not in seen  # a tree: nobody is led in a circle
        seen.add(step.number)
        assert (step.measurement is None) == (not step.ways)
        assert (step.measurement is None) == (step.otherwise is None)
        waiting += [way.to for way in step.ways]
        waiting += [] if step.otherwise is None else [step.otherwise]
    assert seen == set(range(len(page.steps)))


def test_the_ways_of_a_reading_leave_no_gap_between_them(page):
    for step in page.steps:
        numbers = [way for way in step.ways if not way.word]
        for before, after in itertools.pairwise(numbers):
            assert before.high == pytest.approx(after.low)
        if numbers:
            assert (numbers[0].low, numbers[-1].high) == (-np.inf, np.inf)


def test_who_cannot_get_there_is_not_sent_there_again(page):
    first = page.steps[0]
    refused, other = first.measurement, page.steps[first.otherwise].measurement
    assert other is None or (other.red, other.function) != (refused.red, refused.function)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_printed_page_holds_what_an_owner_needs(page, paper):
    document = pypdfium2.PdfDocument(pdf_of(page, paper))
    text = " ".join(" ".join(p.get_textpage().get_text_bounded().split()) for p in document)
    document.close()
    for words in (
        "Make safe",
        "The battery first",
        "12.4 V",
        "below",
        "cannot get there",
        "When nothing fits",
        "When to stop",
        "Proof with E1 running",
    ):
        assert words in text


def test_the_readings_taken_out_as_text_are_read_back(job, tmp_path):
    (tmp_path / "boat.toml").write_text(BOAT)
    file = tmp_path / "light.job.toml"
    file.write_text(job.read_text())
    notes = tmp_path / "notes.txt"
    notes.write_text("# light.job.toml\nG1:+ G1:- volts 12.4 V\n\nF1:2 DC- volts 12.3 V S1=on\n")
    done = CliRunner().invoke(app, ["job", "seen", str(file), "--from", str(notes)])
    assert done.exit_code == 0, done.exception
    assert read_job(file)[0].seen == ["G1:+ G1:- volts 12.4 V", "F1:2 DC- volts 12.3 V S1=on"]


def test_every_line_the_page_writes_down_can_be_read_back(page, job):
    _, circuit, _ = read_job(job)
    from labkit.ownboat.remarks import parse_said

    text = html_of(page)
    lines = re.findall(r'data-line="([^|"]*)\|(\w+)\|([^"]*)"', text)
    assert len(lines) > 10
    for head, unit, tail in lines:
        assert isinstance(parse_said(f"{head} 1.5 {unit}{tail}", circuit)[0], Evidence)
    for said in re.findall(r'data-says="([^"]*)"', text):
        assert isinstance(parse_said(said, circuit)[0], Evidence)


def test_a_page_is_refused_another_ending_and_a_place_that_is_taken(job, tmp_path):
    run, taken = CliRunner().invoke, tmp_path / "a.html"
    taken.write_text("mine")
    refused = run(app, ["job", "page", str(job), "--out", str(taken)])
    assert "already there" in str(refused.exception)
    assert taken.read_text() == "mine"
    assert "name a .pdf" in str(run(app, ["job", "page", str(job), "--out", "a.doc"]).exception)
