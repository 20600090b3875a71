"""The parts of a boat's circuit: what each is called in a file, how it conducts, how it fails."""

from labkit.parts.base import (
    Branch,
    CurrentLimit,
    CutOut,
    Device,
    Fault,
    Mode,
    Model,
    Part,
    PartState,
    Pull,
    Trip,
    Wire,
)
from labkit.parts.loads import (
    Diode,
    Electronics,
    Heater,
    Indicator,
    Lampholder,
    MotorLoad,
    Relay,
    Resistor,
    Voltmeter,
)
from labkit.parts.protection import TRIP_RATIO, Breaker, Fuse
from labkit.parts.sources import Battery, Supply
from labkit.parts.wiring import Ammeter, Cable, Changeover, Connector, Float, Joint, Switch

KINDS: dict[str, type[Part]] = {
    part.kind: part
    for part in (
        Battery, Supply, Cable, Fuse, Breaker, Switch, Float, Changeover, Connector, Joint,
        Lampholder, Heater, Resistor, MotorLoad, Electronics, Diode, Indicator, Relay, Ammeter,
        Voltmeter,
    )
}  # fmt: skip
"""What is written behind `is` in a file, to the part it names."""

__all__ = [
    "KINDS", "TRIP_RATIO", "Ammeter", "Battery", "Branch", "Breaker", "Cable", "Changeover",
    "Connector", "CurrentLimit", "CutOut", "Device", "Diode", "Electronics", "Fault", "Float",
    "Fuse", "Heater", "Indicator", "Joint", "Lampholder", "Mode", "Model", "MotorLoad", "Part",
    "PartState", "Pull", "Relay", "Resistor", "Supply", "Switch", "Trip", "Voltmeter", "Wire",
]  # fmt: skip
