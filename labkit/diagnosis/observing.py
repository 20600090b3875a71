"""Looking at, and measuring, a circuit with its faults, as the bench does: at the same scene."""

from __future__ import annotations

from dataclasses import replace

from labkit.aboard.acts import ACTS
from labkit.aboard.scene import Scene
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.evidence import Measurement
from labkit.measuring.meter import FUNCTIONS, Hazard, Reading


class Observer:
    """Does what measurements ask for, each from the circuit as found; what opened stays open.

    Attributes
    ----------
    circuit : Circuit
        With its faults, and the fuses that have opened.
    reading : Reading or None
        Of the last measurement, if it was one of the meter's.
    """

    def __init__(self, faulty: Circuit) -> None:
        scene = Scene(faulty)
        scene.settle()
        self.circuit = scene.circuit
        self.reading: Reading | None = None

    def __call__(self, measurement: Measurement) -> str:
        """Return what a measurement shows, in the words of evidence."""
        scene = Scene(self.circuit)
        scene.bring(measurement.setting)
        red, black, function = measurement.red, measurement.black, measurement.function
        if function in FUNCTIONS:
            args = {"red": red, "black": black or NEGATIVE, "function": function}
            done = scene.do(ACTS["read"], args)
        else:
            act = ACTS[function]
            done = scene.do(act, act.given((red, black)))
        self.reading = done.reading
        self.circuit = _left(self.circuit, scene)
        return seen_in(function, done.shows, done.hazards, red)


def seen_in(function: str, shows: str, hazards: list[Hazard], red: str) -> str:
    """Turn what an act showed into the words of evidence: a display, or an outcome."""
    sense = ACTS[function].sense if function in ACTS else None
    return sense.told(shows, hazards, red) if sense else shows


def _left(found: Circuit, scene: Scene) -> Circuit:
    """The circuit as found, with the faults a scene leaves: fuses opened, fuses renewed."""
    back = [
        fault
        for fault in scene.circuit.faults
        if fault.mode != "missing" or fault.part not in scene.pulled or fault in found.faults
    ]
    return replace(found, faults=tuple(back))


def would_show(circuit: Circuit, measurement: Measurement) -> tuple[str, Reading | None]:
    """Do what a measurement asks for, and see.

    Parameters
    ----------
    circuit : Circuit
        As found, with whatever is wrong with it.
    measurement : Measurement

    Returns
    -------
    str and Reading or None
        What is seen, in the words of evidence, and the reading if the meter was used.
    """
    observe = Observer(circuit)
    return observe(measurement), observe.reading
