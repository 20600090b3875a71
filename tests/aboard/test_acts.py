"""An act is told of in one place: a made-up one is found wherever acts are used."""

from __future__ import annotations

import pytest

from labkit.aboard.act import Act, Need, Outcome, Sense
from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench
from labkit.diagnosis import adviser_for
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.explain import place_text
from labkit.diagnosis.logbook import asked, evidence_of
from labkit.diagnosis.menu import Menu
from labkit.diagnosis.observing import would_show
from labkit.diagnosis.said import parse_seen
from labkit.solving.solver import solve
from labkit.widgets.model import BenchModel
from tests.boats import played_again, pump


def _sniff(scene, id):
    amps = solve(scene.circuit).amps[id] or 0.0
    drop = solve(scene.circuit).volt(f"{id}:1", f"{id}:2") or 0.0
    return Outcome("smells burnt" if abs(amps * drop) > 5 else "smells of nothing")


SNIFF = Act(
    "sniff", 0.7, _sniff, (Need("id", "part", "at"),), "sniff at {id}", "Sniff",
    Sense(
        words=lambda circuit, id, _="": ("smells of nothing", "smells burnt"),
        asked="a sniff at {red}",
        about=lambda circuit: [(p.id, "") for p in circuit.parts.values() if p.kind == "joint"],
        when="in use",
        instead="{red} ",
    ),
    changes=False,
)  # fmt: skip  # rows that a reader compares


@pytest.fixture
def sniffing(monkeypatch):
    monkeypatch.setitem(ACTS, "sniff", SNIFF)


BAD = "X1 resistance 1.6 ohm"


@pytest.mark.usefixtures("sniffing")
def test_a_made_up_act_is_offered_done_logged_and_played_again():
    made = BenchModel(Bench(pump().with_fault(BAD)))
    offer = next(offer for offer in made.offers if offer.action == "sniff")
    assert offer.label == "Sniff"
    assert "X1" in [value for _, value in offer.fields[0].options]
    assert made.do("sniff", id="X1")
    assert made.message == "sniff at X1: smells burnt"
    assert made.bench.log[0].minutes == pytest.approx(0.7 + 2.0)  # two minutes to get there
    assert played_again(made.bench, pump().with_fault(BAD)).log == made.bench.log


@pytest.mark.usefixtures("sniffing")
def test_a_made_up_act_counts_as_evidence_and_is_reviewed():
    bench = Bench(pump().with_fault(BAD))
    bench.act("sniff", id="X1")
    (item,) = asked(bench.log, pump())
    assert (item.void, item.evidence.seen) == ("", "smells burnt")
    assert place_text(item.evidence) == "a sniff at X1"
    assert parse_seen("X1 sniff smells burnt", pump()) == item.evidence
    start = adviser_for(pump()).start
    diagnosis = start.copy().see(*evidence_of(bench.log, pump()))
    assert diagnosis.by_name["X1 resistance"] > 5 * start.by_name["X1 resistance"]


@pytest.mark.usefixtures("sniffing")
def test_a_made_up_act_is_costed_foretold_and_among_what_the_advice_weighs():
    item = Measurement("sniff", "X1")
    assert Visit(pump()).minutes(item) == pytest.approx(0.7 + 2.0)
    assert would_show(pump().with_fault(BAD), item) == ("smells burnt", None)
    assert would_show(pump(), item) == ("smells of nothing", None)
    assert any(m.function == "sniff" for m in Menu(adviser_for(pump()).start).sights)


def test_every_act_says_all_that_the_bench_needs_of_it():
    for name, act in ACTS.items():
        assert name == act.name
        assert act.minutes > 0 or any(need.sort == "time" for need in act.needs)
        given = {need.name: need.name for need in act.needs}
        assert act.said(given)
        assert act.label or name in ("read", "switch")
        if act.sense:
            assert act.sense.asked.format(red="A", black="B")
