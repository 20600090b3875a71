"""Two references that owe nothing to labkit's solver: exact rationals, and Newton in 80 digits.

Both stamp an ordinary nodal matrix, diagonals and all, from the parts' branches, and eliminate it
with a precision at which cancellation does not matter.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.parts.cells import Cell
from labkit.parts.charging_laws import OneWay, Photo
from labkit.parts.filament import Lamp
from labkit.parts.laws import Junction, Law, Limited, Linear, Power
from labkit.parts.rotor import Motor
from labkit.solving.netlist import GROUND, Element, elements, islands, node_names

DIGITS = 120
_KNEE = 1e-3  # of rated speed, as the motor has it: the float, not the decimal fraction
Volts = dict[str, Any]


def exact_volts(circuit: Circuit, states: Mapping[str, str]) -> dict[str, Fraction | None]:
    """Voltage of every node by label, in rationals; None where it floats. Linear parts only."""
    there = elements(circuit, states)
    assert all(isinstance(e.law, Linear) for e in there), "rationals are for linear circuits"
    return _by_label(circuit, there, solve_linear(there, Fraction))


def precise_volts(
    circuit: Circuit, states: Mapping[str, str], guess: Mapping[str, float | None]
) -> dict[str, Any]:
    """Voltage of every node by label, to 40 digits; None where it floats.

    `guess` says where Newton's method starts; where it ends, Kirchhoff's law holds to 1e-45 A.
    """
    names = node_names(circuit)
    start = {names[label]: Decimal(volts or 0.0) for label, volts in guess.items()}
    there = [_told(e, start) for e in elements(circuit, states)]
    with localcontext(prec=DIGITS):
        return _by_label(circuit, there, _newton(there, start))


def _told(e: Element, volts: Mapping[str, Any]) -> Element:
    """A branch with its number, where it is steered, as these voltages have it."""
    if not e.number:
        return e
    known: dict[str, Any] = {name: float(v) for name, v in volts.items()}
    known |= {"v": lambda a, b=0.0: a - b, "min": min, "max": max}
    number = eval(e.number, {"__builtins__": {}}, known)  # an expression of the netlist's own
    return e._replace(law=e.law.steered(number))  # type: ignore[attr-defined]


def floating_nodes(circuit: Circuit, there: Sequence[Element]) -> set[str]:
    """Labels of the nodes that no branch ties to DC-, by walking from DC-."""
    reached = {GROUND}
    _walk(reached, [(e.first, e.second) for e in there if e.held is None])
    return {label for label, name in node_names(circuit).items() if name not in reached}


def hang_by_junctions(there: Sequence[Element]) -> set[str]:
    """Nodes of the netlist that only diodes tie to DC-: nothing within 1e9 ohm but a junction."""
    one_way = Junction | OneWay
    ties = [(e.first, e.second, isinstance(e.law, one_way)) for e in there if e.held is None]
    tied = {GROUND}
    _walk(tied, [(a, b) for a, b, junction in ties if not junction])
    held = set(tied)
    _walk(held, [(a, b) for a, b, _ in ties])
    return held - tied


def _walk(reached: set[str], ties: Sequence[tuple[str, str]]) -> None:
    """Add everything that the ties lead to."""
    edge = list(reached)
    while edge:
        here = edge.pop()
        for a, b in ties:
            for near, far in ((a, b), (b, a)):
                if near == here and far not in reached:
                    reached.add(far)
                    edge.append(far)


# -- linear ---------------------------------------------------------------------------------


def solve_linear(there: Sequence[Element], number: Callable[[float], Any]) -> Volts:
    """Node voltages of linear branches, islands pinned at one node."""
    pins = islands(there)
    rows: dict[str, dict[str, Any]] = {}
    right: dict[str, Any] = {}
    for e in there:
        assert isinstance(e.law, Linear)
        g = number(0.0) if e.held is not None else number(e.law.conductance)
        source = number(e.held if e.held is not None else e.law.source)
        _stamp(rows, right, e.first, e.second, g, source)
    for pin in pins:
        _stamp(rows, right, pin, GROUND, number(1.0), number(0.0))
    return _eliminate(rows, right, number(0.0))


def _stamp(
    rows: dict[str, dict[str, Any]], right: dict[str, Any], a: str, b: str, g: Any, source: Any
) -> None:
    """A branch that carries g (va - vb) + source from a to b."""
    if a == b:
        return
    for here, there, sign in ((a, b, 1), (b, a, -1)):
        if here == GROUND:
            continue
        row = rows.setdefault(here, {})
        row[here] = row.get(here, 0) + g
        if there != GROUND:
            row[there] = row.get(there, 0) - g
        right[here] = right.get(here, 0) - sign * source


def _eliminate(rows: dict[str, dict[str, Any]], right: dict[str, Any], zero: Any) -> Volts:
    """Gaussian elimination on a symmetric sparse matrix, fewest neighbours first."""
    gone = []
    while rows:
        k = min(rows, key=lambda name: len(rows[name]))
        row, value = rows.pop(k), right[k]
        pivot = row.pop(k)
        gone.append((k, row, value, pivot))
        for j, a in row.items():
            if j not in rows:
                continue
            factor = a / pivot
            other = rows[j]
            other.pop(k, None)
            for i, b in row.items():
                if i in rows:
                    other[i] = other.get(i, zero) - factor * b
            right[j] -= factor * value
    volts: Volts = {GROUND: zero}
    for k, row, value, pivot in reversed(gone):
        volts[k] = (value - sum((a * volts[j] for j, a in row.items()), zero)) / pivot
    return volts


# -- curved ---------------------------------------------------------------------------------


def _newton(there: Sequence[Element], volts: Volts) -> Volts:
    volts = {GROUND: Decimal(0), **volts}
    inner = [_behind(e, volts) for e in there]
    pins = islands(there)
    for _ in range(60):
        rows: dict[str, dict[str, Any]] = {}
        right: dict[str, Any] = {}
        tangents = []
        for e, v in zip(there, inner, strict=True):
            g, source = _tangent(e, v)
            tangents.append((g, source))
            _stamp(rows, right, e.first, e.second, g, source)
        for pin in pins:
            _stamp(rows, right, pin, GROUND, Decimal(1), Decimal(0))
        volts = {**volts, **_eliminate(rows, right, Decimal(0))}
        moved = Decimal(0)
        for n, (e, (g, source)) in enumerate(zip(there, tangents, strict=True)):
            across = volts[e.first] - volts[e.second]
            new = across - (g * across + source) * Decimal(e.law.series)
            if isinstance(e.law, Junction):
                emission = Decimal(e.law.emission)
                share = (g * across + source) / Decimal(e.law.saturation)
                if new > inner[n] + emission and share > -1:  # too steep a tangent to follow
                    new = emission * (1 + share).ln()
            if not _straight(e.law):
                moved = max(moved, abs(new - inner[n]))
            inner[n] = new
        if moved < Decimal(10) ** -45:
            return volts
    raise ArithmeticError("no solution in 60 steps of 80 digits")


def _behind(e: Element, volts: Volts) -> Any:
    """Voltage across a law behind its series resistance, by bisection: near enough to start at."""
    across = volts.get(e.first, Decimal(0)) - volts.get(e.second, Decimal(0))
    if _straight(e.law) or not e.law.series:
        return across
    low, high = min(across, Decimal(0)), max(across, Decimal(0))
    with localcontext(prec=20):
        for _ in range(60):
            middle = (low + high) / 2
            if middle + Decimal(e.law.series) * _law(e.law, middle)[0] < across:
                low = middle
            else:
                high = middle
    return (low + high) / 2


def _straight(law: Law) -> bool:
    """Tell a law that is a straight line, once it is settled what limits."""
    return isinstance(law, Linear | Limited) and not isinstance(law, OneWay)


def _tangent(e: Element, v: Any) -> tuple[Any, Any]:
    """Conductance and source of a branch, its series resistance included, at the inner voltage."""
    if e.held is not None:
        return Decimal(0), Decimal(e.held)
    if isinstance(e.law, Limited) and _straight(e.law):
        return Decimal(e.law.conductance), Decimal(e.law.conductance) * Decimal(e.law.emf)
    if isinstance(e.law, Linear):
        return Decimal(e.law.conductance), Decimal(e.law.source)
    current, slope = _law(e.law, v)
    behind = 1 + slope * Decimal(e.law.series)
    return slope / behind, (current - slope * v) / behind


def _law(law: Law, v: Any) -> tuple[Any, Any]:
    """Current and slope, from the formulas of the parts' table."""
    size, sign = abs(v), (1 if v >= 0 else -1)
    if isinstance(law, Junction):
        rise = (v / Decimal(law.emission)).exp()
        return Decimal(law.saturation) * (rise - 1), Decimal(law.saturation) / Decimal(
            law.emission
        ) * rise
    if isinstance(law, OneWay):
        g, amps, leak = Decimal(law.conductance), Decimal(law.amps), Decimal("1e-9")
        over = v + Decimal(law.emf)
        if over <= 0:
            return leak * over, leak
        return (g * over, g) if g * over < amps else (amps + leak * (over - amps / g), leak)
    if isinstance(law, Photo):
        rise = (-v / Decimal(law.emission)).exp()
        back = Decimal(law.saturation) * (rise - 1)
        return Decimal(law.light) - back, Decimal(law.saturation) / Decimal(law.emission) * rise
    if isinstance(law, Lamp):
        cold, rise = Decimal(1) / 13, (size / Decimal(law.voltage)) ** Decimal("1.8")
        share = ((cold**4 + rise) / (cold**4 + 1)) ** Decimal("0.25")
        g = Decimal(law.current) / Decimal(law.voltage) / share
        return g * v, g * (1 - Decimal("0.45") * rise / (cold**4 + rise))
    if isinstance(law, Cell):
        y = -v - Decimal(law.emf)
        if y <= 0:
            return -Decimal(law.layer) * y, Decimal(law.layer)
        bend, gas_bend = Decimal(law.bend), Decimal(law.gas_bend)
        taking, up, down = Decimal(law.taking), (y / bend).exp(), (-y / bend).exp()
        into, rise = taking * (up - down) / 2, (y / gas_bend).exp()
        slope = taking * (up + down) / 2 / bend + Decimal(law.gas) / gas_bend * rise
        return -(into + Decimal(law.gas) * (rise - 1)), slope
    if isinstance(law, Motor):
        ohms, emf, least, brake, fan = (
            Decimal(x) for x in (law.resistance, law.emf, law.steady, law.brake, law.fan)
        )
        if law.steady > 1e6 or size < ohms * least:
            return v / ohms, 1 / ohms
        # R k s^2 + (E + R b) s - (V - R I0) = 0, and its chord in the first thousandth
        knee = Decimal(_KNEE) * (emf + ohms * (fan + least))
        spare = size - ohms * least
        over = max(spare, knee)
        line = emf + ohms * brake
        speed = 2 * over / (line + (line**2 + 4 * ohms * fan * over).sqrt())
        rise = brake * speed + fan * speed**2
        if spare < knee:
            return sign * (least + rise * spare / knee), rise / knee
        ds = 1 / (2 * ohms * fan * speed + line)
        slope = (2 * fan * speed + brake) * ds
        return sign * (least + rise), max(slope, Decimal(10) ** -40)
    assert isinstance(law, Power)
    power, floor = Decimal(law.power), Decimal(law.floor)
    if v > floor:
        return power / v, -power / v**2
    if v <= 0:
        return Decimal(0), Decimal(0)
    return power / floor**2 * v, power / floor**2


def _by_label(circuit: Circuit, there: Sequence[Element], volts: Volts) -> dict[str, Any]:
    floats = floating_nodes(circuit, there)
    return {
        label: None if label in floats else volts[name]
        for label, name in node_names(circuit).items()
    }
