"""Faults as they are written: 'ID mode [amount]', 'ID:terminal short PLACE [amount]'."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping

from labkit.parts import ELSEWHERE, UNIVERSAL, Effect, Fault, Mode, Part
from labkit.parts.conductors import wire_area
from labkit.text.messages import CircuitError, article, did_you_mean
from labkit.text.quantities import Kind, QuantityError, shorten

_LONGEST = 120  # letters; longer ones take the pattern minutes, and are no fault
_EXAMPLE = 'write it as "X1 resistance 0.8 ohm"'
_AMOUNT = r"(?:\s+(?P<amount>[+-]?[\d.].*))?\s*"

FAULT_TEXT = re.compile(
    r"(?P<part>[A-Za-z]{1,2}\d{1,4})(?::(?P<terminal>\w+|[+-]))?\s+"
    r"(?P<mode>[A-Za-z][A-Za-z -]*?)" + _AMOUNT
)
_JOINED = re.compile(
    r"(?P<head>\S+)\s+(?P<mode>short|leak|chafe)\s+(?:to\s+)?"
    r"(?P<to>[A-Za-z]{1,2}\d{1,4}:(?:\w+|[+-])|(?!to\b)[A-Za-z][\w -]*?)" + _AMOUNT
)


def parse_fault(
    text: str | Fault,
    parts: Mapping[str, Part],
    where: str = "",
    points: Collection[str] | None = None,
) -> Fault:
    """Read a fault and check it against the circuit's parts.

    Parameters
    ----------
    text : str
        Such as "X1 open", "W2:2 leak 30 ohm", "W1 too thin 18 AWG", "W6:2 short W5:2 0.1 ohm",
        "W3 leak bond 500 ohm", "W3 chafe bond 0.05 ohm" (which touches it at times).
    parts : mapping of str to Part
    where : str
        Put before a message, such as "boat.toml: ".
    points : collection of str, optional
        Terminals and nodes there are; where not given, any place elsewhere is taken as it is said.

    Raises
    ------
    CircuitError
        If it cannot be read, names no part, terminal or place here, or a mode the part does not
        have.
    """
    if isinstance(text, Fault):
        if _fits(text, parts):
            return text
        text = str(text)

    def refuse(problem: str) -> CircuitError:
        return CircuitError([f'{where}fault "{shorten(text)}": {problem}'])

    short_enough = isinstance(text, str) and len(text) <= _LONGEST
    joined = _JOINED.fullmatch(text) if short_enough else None
    to = joined["to"] if joined else ""
    read = f"{joined['head']} {joined['mode']} to {joined['amount'] or ''}" if joined else text
    match = FAULT_TEXT.fullmatch(read) if short_enough else None
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
    problem = _place_problem(part, known[mode], terminal, to, points)
    if problem:
        raise refuse(problem)
    amount, value = _amount(known[mode], part, amount, refuse)
    if mode in ELSEWHERE:
        terminal = terminal or part.terminals[-1]
    return Fault(id, mode, terminal, amount, value, to)


def _fits(fault: Fault, parts: Mapping[str, Part]) -> bool:
    """Tell at a glance that a fault of a part in itself is one here; the rest is read as text.

    Faults are fitted by the hundred thousand, and reading one takes longer than solving with it.
    """
    part = parts.get(fault.part)
    if part is None or fault.terminal or fault.to:
        return False
    mode = part.modes.get(fault.mode)
    if mode is None or mode.name in ELSEWHERE:
        return False
    if mode.amount is None:
        return fault.value is None and not fault.amount
    if not isinstance(mode.amount, Kind) or not isinstance(fault.value, float):
        return False
    return mode.amount.allows(fault.value) and (mode.most is None or fault.value <= mode.most)


def _place_problem(
    part: Part, mode: Mode, terminal: str, to: str, points: Collection[str] | None
) -> str:
    """Say what is wrong with where a fault is, and where it leads."""
    if terminal and mode.effect not in (Effect.LEAKS, Effect.JOINS):
        return f"only a leak or a short to elsewhere is at one terminal; leave ':{terminal}' out"
    if terminal and terminal not in part.terminals:
        names = ", ".join(f"'{part.id}:{t}'" for t in part.terminals)
        return f"no terminal '{part.id}:{terminal}'; there are {names}"
    if mode.effect is not Effect.JOINS:
        return ""
    if not to:
        return f'\'{mode.name}\' what? Name the terminal or node, such as "W5:2" or "bond"'
    if to == f"{part.id}:{terminal or part.terminals[-1]}":
        return "joins a terminal to itself; name another"
    if points is not None and to not in points:
        return f"no terminal or node '{shorten(to)}' here; {did_you_mean(to, points)}"
    return ""


def _amount(
    mode: Mode, part: Part, amount: str, refuse: Callable[[str], CircuitError]
) -> tuple[str, float | None]:
    """Read how bad it is: as it is written, and in SI units."""
    if mode.amount is None:
        if amount:
            raise refuse(f"'{mode.name}' takes no amount")
        return "", None
    amount = amount or mode.amounts[0]
    try:
        value = wire_area(amount) if isinstance(mode.amount, str) else mode.amount.parse(amount)
    except QuantityError as error:
        raise refuse(str(error)) from None
    if mode.most is not None and value > mode.most:
        raise refuse(f"the amount is too large; write at most {100 * mode.most:g} %")
    if mode.name == "too thin" and value > (getattr(part, "area", None) or 0.0):
        raise refuse("the wire it names is no thinner than the one drawn")
    return amount, value
