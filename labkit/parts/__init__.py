"""The parts of a boat's circuit: what each is called in a file, how it conducts, how it fails."""

from labkit.parts.base import (
    Branch,
    CurrentLimit,
    CutOut,
    Device,
    Fault,
    Guard,
    Model,
    Part,
    PartState,
    Pull,
    Trip,
    Wire,
)
from labkit.parts.charging import Alternator, Charger, Charging, Converter
from labkit.parts.electronics import Electronics
from labkit.parts.gauges import Gauge, Sender
from labkit.parts.junctions import Diode, Indicator
from labkit.parts.led_lamps import LedLamp
from labkit.parts.loads import Heater, Lampholder, MotorLoad, Resistor
from labkit.parts.modes import AT_TIMES, ELSEWHERE, UNIVERSAL, Effect, Mode
from labkit.parts.panel_meters import Ammeter, Shunt, ShuntAmmeter, Voltmeter
from labkit.parts.protection import TRIP_RATIO, Breaker, Fuse, Protection
from labkit.parts.relays import Relay
from labkit.parts.solar import Panel, SolarController
from labkit.parts.sources import Battery, Supply
from labkit.parts.splitting import Combiner, Isolator
from labkit.parts.springing import Button, ThermalSwitch
from labkit.parts.starting import Solenoid
from labkit.parts.traits import Look, Now, Scale, Trait
from labkit.parts.underwater import Fitting
from labkit.parts.wiring import Cable, Changeover, Connector, Float, Joint, Switch

KINDS: dict[str, type[Part]] = {
    part.kind: part
    for part in (
        Battery, Supply, Cable, Fuse, Breaker, Switch, Float, Changeover, Connector, Joint,
        Lampholder, LedLamp, Heater, Resistor, MotorLoad, Electronics, Diode, Indicator, Relay,
        Solenoid, Ammeter, Voltmeter, Shunt, ShuntAmmeter, Gauge, Sender, Button, ThermalSwitch,
        Fitting, Alternator, Charger, Converter, Panel, SolarController, Combiner, Isolator,
    )
}  # fmt: skip  # rows that a reader compares
"""What is written behind `is` in a file, to the part it names."""

__all__ = [
    "AT_TIMES",
    "ELSEWHERE",
    "KINDS",
    "TRIP_RATIO",
    "UNIVERSAL",
    "Alternator",
    "Ammeter",
    "Battery",
    "Branch",
    "Breaker",
    "Button",
    "Cable",
    "Changeover",
    "Charger",
    "Charging",
    "Combiner",
    "Connector",
    "Converter",
    "CurrentLimit",
    "CutOut",
    "Device",
    "Diode",
    "Effect",
    "Electronics",
    "Fault",
    "Fitting",
    "Float",
    "Fuse",
    "Gauge",
    "Guard",
    "Heater",
    "Indicator",
    "Isolator",
    "Joint",
    "Lampholder",
    "LedLamp",
    "Look",
    "Mode",
    "Model",
    "MotorLoad",
    "Now",
    "Panel",
    "Part",
    "PartState",
    "Protection",
    "Pull",
    "Relay",
    "Resistor",
    "Scale",
    "Sender",
    "Shunt",
    "ShuntAmmeter",
    "SolarController",
    "Solenoid",
    "Supply",
    "Switch",
    "ThermalSwitch",
    "Trait",
    "Trip",
    "Voltmeter",
    "Wire",
]  # fmt: skip  # rows that a reader compares
