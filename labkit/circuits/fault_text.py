"""Faults as they are written: 'ID mode [amount]'."""

from __future__ import annotations

from collections.abc import Mapping

from labkit.parts import UNIVERSAL, Effect, Fault, Part
from labkit.parts.base import FAULT_TEXT
from labkit.parts.conductors import wire_area
from labkit.text.messages import CircuitError, article, did_you_mean
from labkit.text.quantities import QuantityError, shorten

_LONGEST = 120  # letters; longer ones take the pattern minutes, and are no fault
_EXAMPLE = 'write it as "X1 resistance 0.8 ohm"'


def parse_fault(text: str | Fault, parts: Mapping[str, Part], where: str = "") -> Fault:
    """Read a fault and check it against the circuit's parts.

    Parameters
    ----------
    text : str
        Such as "X1 open", "W2:2 leak 30 ohm", "W1 too thin 18 AWG".
    parts : mapping of str to Part
    where : str
        Put before a message, such as "boat.toml: ".

    Raises
    ------
    CircuitError
        If it cannot be read, names no part or terminal here, or a mode the part does not have.
    """
    if isinstance(text, Fault):
        text = str(text)

    def refuse(problem: str) -> CircuitError:
        return CircuitError([f'{where}fault "{shorten(text)}": {problem}'])

    short_enough = isinstance(text, str) and len(text) <= _LONGEST
    match = FAULT_TEXT.fullmatch(text) if short_enough else None
    if match is None:
        raise refuse(f"cannot be read; {_EXAMPLE}")
    id, terminal, amount = match["part"], match["terminal"] or "", match["amount"] or ""
    mode = " ".join(match["mode"].lower().split())
    if id not in parts:
        raise refuse(f"no part '{id}'; {did_you_mean(id, parts)}")
    part = parts[id]
    known = {**UNIVERSAL, **part.modes}
    if mode not in known:
        raise refuse(f"{article(part.kind)} cannot be '{mode}'; {did_you_mean(mode, known, 12)}")
    if terminal and known[mode].effect is not Effect.LEAKS:
        raise refuse(f'only a leak is at one terminal; write it as "{id} {mode} {amount}"'.rstrip())
    if terminal and terminal not in part.terminals:
        names = ", ".join(f"'{id}:{t}'" for t in part.terminals)
        raise refuse(f"no terminal '{id}:{terminal}'; there are {names}")
    spec = known[mode]
    if spec.amount is None:
        if amount:
            raise refuse(f"'{mode}' takes no amount")
        return Fault(id, mode, terminal)
    amount = amount or spec.amounts[0]
    try:
        value = wire_area(amount) if isinstance(spec.amount, str) else spec.amount.parse(amount)
    except QuantityError as error:
        raise refuse(str(error)) from None
    if spec.most is not None and value > spec.most:
        raise refuse(f"the amount is too large; write at most {100 * spec.most:g} %")
    if mode == "too thin" and value > (getattr(part, "area", None) or 0.0):
        raise refuse("the wire it names is no thinner than the one drawn")
    return Fault(id, mode, terminal, amount, value)
