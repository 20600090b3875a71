"""Whatever can be done at the bench counts as evidence: it tells, and spares what is wrong."""

from __future__ import annotations

import functools

import pytest

from labkit.aboard.bench import Bench
from labkit.diagnosis import Diagnosis
from labkit.diagnosis.evidence import senses
from labkit.diagnosis.logbook import evidence_of
from labkit.measuring.meter import FUNCTIONS
from tests.boats import shipped

ACTS = {
    "volts": ("washdown", "X1 resistance 1.6 ohm", "switch S2 on", "read X1:1 X1:2 volts"),
    "low-z": ("washdown", "X1 open", "switch S2 on", "read M1:1 DC- low-z"),
    "ohms": ("washdown", "X1 open", "part X1:1", "read X1:1 X1:2 ohms"),
    "continuity": ("washdown", "X1 open", "part X1:1", "read X1:1 X1:2 continuity"),
    "amps": (
        "washdown",
        "X1 resistance 1.6 ohm",
        "part W2:2",
        "switch S2 on",
        "read W2:2 X1:1 amps",
    ),
    "clamp": ("washdown", "M1 seized", "switch S2 on", "read W2:1 DC- clamp"),
    "diode": ("two-batteries", "V1 open", "part V1:1", "read V1:1 V1:2 diode"),
    "look": ("washdown", "X1 open", "switch S2 on", "look M1"),
    "wiggle": ("washdown", "X2 intermittent", "switch S2 on", "wiggle X2 M1"),
    "test lamp": ("washdown", "X1 resistance 1.6 ohm", "test lamp X1:2 DC-"),
    "pull": ("washdown", "F1 blown", "pull F1"),
    "load test": ("engine-start", "G1 weak 0.02 ohm", "load test G1"),
    "fit": ("washdown", "M1 short 0.05 ohm", "switch S2 on", "fit F2"),
    "jumper": ("washdown", "X1 open", "switch S2 on", "jumper X1:1 X1:2", "look M1"),
    "a connection apart": ("washdown", "M1 short 0.05 ohm", "part M1:1", "read M1:1 M1:2 ohms"),
}
"""A boat, what is wrong with it, and what is done; the last act is the one that tells."""


@functools.cache
def beliefs(name):
    return Diagnosis(shipped(name))


def done(boat, fault, *acts):
    bench = Bench(boat.with_fault(fault))
    for act in acts:
        name, *args = (
            act.replace("test lamp", "test_lamp").replace("load test", "load_test").split()
        )
        getattr(bench, name)(*args)
    return evidence_of(bench.log, boat)


def test_there_is_a_case_for_every_function_and_every_sense():
    nothing_ripples = {"volts-ac"}  # on a boat with an alternator it does: tests/solving
    assert set(ACTS) >= {*FUNCTIONS, *senses()} - nothing_ripples


@pytest.mark.parametrize("name", ACTS)
def test_an_act_tells_and_spares_what_is_wrong(name):
    circuit, fault, *acts = ACTS[name]
    boat = shipped(circuit)
    found = done(boat, fault, *acts)
    start = beliefs(circuit)
    diagnosis = start.copy().see(*found)
    assert diagnosis.steps[-1].bits > 0.03
    assert len(diagnosis.remaining()) < len(diagnosis.known.names)
    truth = " ".join(fault.split()[:2])
    assert truth in diagnosis.remaining()
    assert diagnosis.by_name[truth] > start.by_name[truth]
