"""Candidates laid out for arithmetic: cut where something switches, with room between batteries."""

from __future__ import annotations

import numpy as np
import pytest

from labkit.diagnosis import Diagnosis, Measurement, hypotheses, parse_seen
from labkit.diagnosis.faults import candidates, in_use
from labkit.diagnosis.hypotheses import Hypotheses
from labkit.diagnosis.probe import slack
from labkit.diagnosis.sources import shifted
from labkit.diagnosis.thresholds import cut_at_jumps
from labkit.solving.bulk import solve_many
from labkit.solving.solver import solve
from tests.boats import shipped


def test_a_candidate_is_cut_where_the_relay_lets_go():
    circuit = shipped("horn")
    whole = candidates(circuit, only=["X3 resistance"])
    pieces = cut_at_jumps(circuit, whole, in_use(circuit))
    assert len(pieces) == len(whole) + 1
    on = circuit.with_position(**in_use(circuit)[0])
    for piece in pieces:
        states = {
            solve(on.with_fault(*map(str, piece.at(share)))).states["K1"]
            for share in (0.0, 0.3, 0.5, 0.8, 1.0)
        }
        assert len(states) == 1


def test_cutting_loses_no_belief_and_no_severity():
    circuit = shipped("horn")
    whole = candidates(circuit)
    pieces = cut_at_jumps(circuit, whole, in_use(circuit))
    assert sum(c.weight for c in pieces) == pytest.approx(1.0, abs=0.01)
    assert {c.name for c in pieces} == {c.name for c in whole}


def test_a_candidate_that_opens_a_fuse_has_a_row_with_it_open_already():
    known = Hypotheses(shipped("bilge-pump"), candidates(shipped("bilge-pump"), only=["M1"]))
    seized = [row for row in known.rows if row.candidate.name == "M1 seized"]
    assert [row.opened for row in seized] == [(), ("F1",)]
    assert known.prior.sum() == pytest.approx(1.0)


def test_only_boats_with_several_sources_are_looked_at_with_each_a_little_stronger():
    assert shifted(shipped("washdown")) == []
    assert len(shifted(shipped("engine-start"))) == 2


def test_what_stands_between_two_batteries_is_allowed_to_differ():
    # 12.7 V against 12.6 V, either a percent off: anything from -0.1 to 0.3 V is honest.
    circuit = shipped("engine-start")
    diagnosis = Diagnosis(circuit)
    low, high = diagnosis.predicted(Measurement("volts", "G1:+", "G2:+"))
    on = diagnosis.scale("volts")
    sound = diagnosis.known.names.index("S3 intermittent")
    row = int(np.flatnonzero(diagnosis.known.name_of == sound)[0])
    assert on.reading(low[row]) < -0.1
    assert on.reading(high[row]) > 0.3


def test_a_reading_has_no_slack_where_the_scale_allows_for_it_already():
    u = np.array([0.0, 50.0])
    assert slack(u, [u + 0.9], 1000.0) == pytest.approx([0.0, 0.0])
    assert slack(u, [u + 5.0], 1000.0) == pytest.approx([8.0, 8.0])
    assert slack(u, [], 1000.0) == pytest.approx([0.0, 0.0])


def test_an_unsteady_reading_strikes_out_nothing_at_the_edge_of_a_cut_out():
    circuit = shipped("fridge")
    seen = parse_seen("A1:1 A1:2 volts unsteady", circuit)
    diagnosis = Diagnosis(circuit).see(seen)
    assert not diagnosis.steps[0].struck.any()


def test_some_of_the_rows_are_solved_already_and_alone_come_to_the_same():
    circuit = shipped("horn")
    known, on = Hypotheses(circuit), Measurement("", "", positions=in_use(circuit)[0])
    known.points(on)
    some = [n for n, row in enumerate(known.rows) if row.candidate.name.startswith("X3")]
    few = known.among(some, known.row_sets)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(hypotheses, "solve_many", None)
        shared = few.points(on)
    anew = solve_many(few.circuits(few.brought(on)))
    assert len(few.sets) > len(some)
    for place in circuit.node_of:
        np.testing.assert_allclose(shared.row("volts", place), anew.volts[place], atol=1e-7)
        assert (shared.floating(place) == anew.floating[place]).all()
    for id, words in anew.states.items():
        assert (shared.states(id) == words).all()
