"""A course of events in one line, for a notebook."""

from __future__ import annotations

from collections.abc import Iterable

from labkit.circuits.circuit import Circuit
from labkit.clock.course import Course
from labkit.clock.program import parse_duration, parse_program


def play(circuit: Circuit, time: str, *deeds: str, show: Iterable[str] = ()) -> Course:
    """Let time pass for a circuit, and do something meanwhile.

    Parameters
    ----------
    circuit : Circuit
    time : str
        How long, such as "10 min".
    *deeds : str
        What is done and when, such as "30 s S2=off", "5 min X1 open", "1 h sea=on".
    show : iterable of str
        Terminals, nodes and parts whose series are kept; all where none is named.

    Raises
    ------
    CircuitError
        With everything that is wrong, a sentence each.
    """
    seconds = parse_duration(time, "time")
    return Course(circuit, parse_program(deeds, circuit), tuple(show)).play(seconds)
