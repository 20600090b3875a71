"""A circuit as a netlist for ngspice, to check an operating point with an engine of another make.

Every branch is written in the language of that engine: EMFs as V, resistances as R, junctions as D,
lamps, motors and electronics as B sources with their law spelt out. Devices that switch by
themselves (fuses, relays, cut-outs, current limits) are written as they have settled.

What is done for the engine's sake, and nowhere hidden:

- `reltol`, `vntol` and `abstol` are tight, since its own defaults stop at about a millivolt;
- `gmin`, which it lays across every junction, is 1e-18 S instead of 1e-12 S: no load to a node that
  a megohm holds;
- `temp` and `tnom` are 26.82 C, where its kT/q is the 25.85 mV of :mod:`labkit.parts.laws`;
- where sources are regulated or limited, its search begins (`.nodeset`) near the answer: it does
  not find its way over their bends from nothing, and still has to come to rest by itself;
- an island that nothing ties to DC- has no solution there: one `R_pin` of 1 ohm per island ties one
  of its nodes to 0. No current can flow in a single tie, so nothing within the island changes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.parts import Branch, CurrentLimit, Device, Pull
from labkit.parts.base import IDEAL_SOURCE
from labkit.parts.cells import Cell
from labkit.parts.charging_laws import LEAK, OneWay, Photo, PowerIn, Sensed
from labkit.parts.filament import COLD, Lamp
from labkit.parts.laws import (
    THERMAL_VOLTAGE,
    Junction,
    Law,
    Limited,
    Linear,
    Power,
)
from labkit.parts.rotor import Motor
from labkit.solving.network import far_end, flatten
from labkit.solving.newton import solve_network
from labkit.solving.settling import gates
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError

BOLTZMANN_OVER_CHARGE = 8.61733034e-5
"""As ngspice has it. [V/K]"""

OPTIONS = "reltol=1e-9 vntol=1e-11 abstol=1e-14 gmin=1e-18 itl1=1000 savecurrents"
"""Tolerances asked of the engine, and every current beside the voltages."""

GROUND = "0"


class Element(NamedTuple):
    """A branch as it stands: what owns it, its nodes there, its law, and a current it is held to.

    `held` is the current a limiting supply drives from the first node to the second. [A]
    """

    owner: str
    role: str
    first: str
    second: str
    law: Law
    held: float | None = None
    number: str = ""
    """Of what is steered: its number, as an expression in what it goes by."""

    @property
    def name(self) -> str:
        """Name without the letter of its kind, such as '_x1' or '_k1_coil'."""
        role = "" if self.role == "main" else "_" + _word(self.role)
        return f"_{_word(self.owner)}{role}"


def to_spice(circuit: Circuit, states: Mapping[str, str] | None = None) -> str:
    """Write a circuit as it stands (positions, faults, partings, bridges) as an ngspice netlist.

    Parameters
    ----------
    circuit : Circuit
    states : mapping of str to str, optional
        What its fuses, relays, cut-outs and current limits have settled to, as
        :attr:`labkit.solving.solver.OperatingPoint.states` has it; solved for where not given.

    Returns
    -------
    str
        Run it by ``ngspice -b``: its `.op` prints every node voltage.

    Raises
    ------
    CircuitError
        If a part chatters, so that there is no state to write.
    """
    if states is None:
        states = solve(circuit).states
    restless = [id for id, word in states.items() if word == "chattering"]
    if restless:
        names = ", ".join(restless)
        raise CircuitError([f"{names} chatters, and a netlist holds one state; set it otherwise"])
    there = elements(circuit, states)
    celsius = THERMAL_VOLTAGE / BOLTZMANN_OVER_CHARGE - 273.15
    lines = [
        f"* {_plain(circuit.title)}",
        *(f"* fault: {_plain(str(fault))}" for fault in circuit.faults),
        *(f"* taken apart: {terminal}" for terminal in sorted(circuit.parted)),
        f".options {OPTIONS} temp={celsius!r} tnom={celsius!r}",
    ]
    owner = ""
    for element in there:
        if element.owner != owner:
            owner = element.owner
            lines.append(f"* {_title(circuit, owner, states)}")
        lines += _cards(element)
    for number, node in enumerate(islands(there), 1):
        lines += [f"* nothing ties {node} and its island to DC-", f"R_pin_{number} {node} 0 1"]
    if any(isinstance(element.law, OneWay | Photo | PowerIn) for element in there):
        lines += _near(circuit, states)
    return "\n".join([*lines, ".op", ".end", ""])


def _near(circuit: Circuit, states: Mapping[str, str]) -> list[str]:
    """Where to begin: the engine does not find its way over the bends of regulated sources."""
    names, net = node_names(circuit), flatten(circuit)
    acts = {
        n: float(states.get(settler.owner) == circuit.parts[settler.owner].states[1])
        for n, settler in enumerate(net.settlers)
    }
    solution = solve_network(net, gates(net, acts))
    found = {names[label]: net.node_of[point] for point, label in circuit.node_of.items()}
    found.pop(GROUND, None)
    return [
        f".nodeset v({name})={solution.volts[node]!r}"
        for name, node in found.items()
        if solution.tied[node]
    ]


def node_names(circuit: Circuit) -> dict[str, str]:
    """Return the netlist's name of every node, by its label in the circuit; DC- is 0."""
    names = {NEGATIVE: GROUND}
    taken = {GROUND, "gnd"}
    for label in circuit.node_of.values():
        if label in names:
            continue
        stem = _word(label)
        stem = stem if stem[:1].isalpha() else f"n{stem}"
        name, count = stem, 1
        while name in taken:
            count += 1
            name = f"{stem}_{count}"
        taken.add(name)
        names[label] = name
    return names


def elements(circuit: Circuit, states: Mapping[str, str]) -> list[Element]:
    """Return the branches that are there in these states, in the order of the parts."""
    names = node_names(circuit)
    found = []
    for id, part in circuit.parts.items():
        model = part.model(circuit.state_of(id))
        for branch in model.branches:
            ends = [f"{id}:{branch.first}", far_end(id, branch)]
            if any(end not in circuit.node_of and end != NEGATIVE for end in ends):
                continue  # a contact that no run passes by
            first, second = (names[circuit.node_of.get(end, end)] for end in ends)
            acts = states.get(id, "") == part.states[1]
            made, held = _settled(model.device, branch.role, acts)
            if made:
                number = _number(circuit, names, id, branch.law, model.branches)
                found.append(Element(id, branch.role, first, second, branch.law, held, number))
    for bridge in circuit.bridges:
        first, second = (names[circuit.node_of[end]] for end in (bridge.first, bridge.second))
        found.append(Element(bridge.id, "bridge", first, second, bridge.law))
    return found


def _number(
    circuit: Circuit, names: Mapping[str, str], id: str, law: Law, branches: Iterable[Branch]
) -> str:
    """Write what steers a law, where it is steered and what it goes by is there."""
    if not isinstance(law, Sensed | PowerIn):
        return ""
    for branch in branches:
        ends = [f"{id}:{end}" for end in (branch.first, branch.second)]
        if branch.role == law.watches and all(end in circuit.node_of for end in ends):
            v = _between(*(names[circuit.node_of[end]] for end in ends))
            if isinstance(law, Sensed):
                emf = f"{law.at_target!r}+{law.gain!r}*({law.target!r}-({v}))"
                return f"min(max({emf},{law.least!r}),{law.most!r})"
            given = f"max(-({v})*({_current(branch.law, v)}),0)/{law.efficiency!r}+{law.idle!r}"
            return f"min({given},{law.full!r})"
    return ""


def _between(first: str, second: str) -> str:
    return f"-v({second})" if first == GROUND else _across(first, second)


def islands(there: Iterable[Element]) -> list[str]:
    """Return a node of every island that no branch ties to DC-; a held current ties nothing."""
    parent: dict[str, str] = {GROUND: GROUND}

    def root(node: str) -> str:
        parent.setdefault(node, node)
        while parent[node] != node:
            node = parent[node]
        return node

    for element in there:
        first, second = root(element.first), root(element.second)
        if element.held is None and first != second:
            parent[max(first, second)] = min(first, second)  # "0" sorts before every name
    return [node for node in parent if root(node) == node and node != GROUND]


def _settled(device: Device | None, role: str, acts: bool) -> tuple[bool, float | None]:
    """Tell whether a branch is there once its device has acted, and the current it is held to."""
    if device is None:
        return True, None
    if isinstance(device, Pull):
        return not ((role in device.make and not acts) or (role in device.rest and acts)), None
    if isinstance(device, CurrentLimit):
        return True, device.amps if role == device.role and acts else None
    return not (acts and role in device.opens), None


def _cards(e: Element) -> list[str]:
    """Write one branch; a node of its own stands between a law and its series resistance."""
    law, inner = e.law, f"inside_{e.name}"  # no label has a double underscore
    if e.held is not None:
        return [f"I{e.name} {e.first} {e.second} {e.held!r}"]
    if isinstance(law, Linear) and not law.source:
        return [f"R{e.name} {e.first} {e.second} {1.0 / law.conductance!r}"]
    if isinstance(law, OneWay):
        return [f"B{e.name} {e.first} {e.second} i={_current(law, _v(e), e.number)}"]
    if isinstance(law, Linear | Limited):
        ohms = 1.0 / law.conductance
        emf = law.emf if isinstance(law, Limited) else law.source * ohms
        if ohms <= IDEAL_SOURCE * 1.001:
            return [f"V{e.name} {e.second} {e.first} {emf!r}"]
        return [f"V{e.name} {inner} {e.first} {emf!r}", f"R{e.name} {inner} {e.second} {ohms!r}"]
    series = float(law.series)
    start = inner if series else e.first
    cards = [f"R{e.name} {e.first} {inner} {series!r}"] if series else []
    if isinstance(law, Junction):
        emission = law.emission / THERMAL_VOLTAGE
        cards.append(f"D{e.name} {start} {e.second} diode{e.name}")
        cards.append(f".model diode{e.name} D(is={law.saturation!r} n={emission!r})")
        return cards
    amps = _current(law, _across(start, e.second), e.number)
    return [*cards, f"B{e.name} {start} {e.second} i={amps}"]


def _v(e: Element) -> str:
    return "0" if e.first == e.second else _between(e.first, e.second)


def _across(first: str, second: str) -> str:
    return f"v({first})" if second == GROUND else f"v({first},{second})"


def _current(law: Law, v: str, number: str = "") -> str:
    """Write a curved law as an expression in the voltage across it, and what it is steered to."""
    if isinstance(law, OneWay):
        over = f"({v}+({number or repr(law.emf)}))"
        most = f"{law.amps!r}+{LEAK!r}*({over}-{law.amps / law.conductance!r})"
        back = f"{LEAK!r}*({v}+max({number or repr(law.emf)},0))"
        return f"min(max({law.conductance!r}*{over},{back}),{most})"
    if isinstance(law, Photo):
        back = f"exp(min(-({v})/{law.emission!r},80))-1"
        return f"{law.light!r}-{law.saturation!r}*({back})"
    if isinstance(law, Lamp):
        share = f"(({COLD**4!r}+(abs({v})/{law.voltage!r})^1.8)/{COLD**4 + 1!r})^0.25"
        return f"{law.current / law.voltage!r}*{v}/({share})"
    if isinstance(law, Cell):
        y = f"(-({v})-{law.emf!r})"
        into = f"{law.taking!r}*sinh(max({y},0)/{law.bend!r})"
        gas = f"{law.gas!r}*(exp(max({y},0)/{law.gas_bend!r})-1)"
        return f"{y}>0 ? -({into}+{gas}) : {-law.layer!r}*{y}"
    if isinstance(law, Motor):
        stalled = f"{v}/{law.resistance!r}"
        if law.steady > 1e9:
            return stalled
        # With the current put into V = R I + E s: R k s^2 + (E + R b) s - (V - R I0) = 0.
        line = law.emf + law.resistance * law.brake
        bent = 4 * law.resistance * law.fan
        knee = 1e-3 * (law.emf + law.resistance * (law.fan + law.steady))
        spare = f"(abs({v})-{law.resistance * law.steady!r})"
        over = f"max({spare},{knee!r})"
        speed = f"(2*{over}/({line!r}+sqrt({line**2!r}+{bent!r}*{over})))"
        rise = f"({law.brake!r}*{speed}+{law.fan!r}*{speed}*{speed})*min({spare}/{knee!r},1)"
        return f"{spare}>0 ? sgn({v})*({law.steady!r}+{rise}) : {stalled}"
    assert isinstance(law, Power)
    power = f"({number})" if number else repr(law.power)
    below = f"max({v},0)*{power}/{law.floor**2!r}"
    return f"{v}>{law.floor!r} ? {power}/max({v},{law.floor!r}) : {below}"


def _title(circuit: Circuit, owner: str, states: Mapping[str, str]) -> str:
    if owner not in circuit.parts:
        bridge = next(b for b in circuit.bridges if b.id == owner)
        return _plain(f"{owner}: {bridge.kind}")
    part = circuit.parts[owner]
    words = [part.kind, part.rating, part.label, states.get(owner, "")]
    return _plain(f"{owner}: " + ", ".join(word for word in words if word))


def _word(label: str) -> str:
    text = label.lower().replace(":-", "_minus").replace(":+", "_plus")
    return re.sub(r"[^a-z0-9]+", "_", text).strip("_")


def _plain(text: str) -> str:
    return " ".join(text.encode("ascii", "replace").decode().split())
