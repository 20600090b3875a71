"""Is it repaired? Judged by two voltages, read while the load runs."""

from __future__ import annotations

from dataclasses import dataclass

from labkit.text.messages import CircuitError
from labkit.text.quantities import VOLTAGE, QuantityError, show

CRITICAL, OTHER = 0.03, 0.10
"""Shares of the system's voltage that may be lost on the way to a load, out and back: 3 % where
the boat's safety hangs on it (and panels, bilge blowers, navigation lights), 10 % elsewhere.
ABYC E-11 and ISO 13297, second hand."""

FLAT = 0.92
"""Below this share of the system's voltage under load the battery is charged first. Common
practice, no source."""


@dataclass(frozen=True)
class Verdict:
    """Whether a load gets what it needs, and the sentence that says so."""

    ok: bool
    share: float
    text: str


def judge(source: str, load: str, system: float, critical: bool = False) -> Verdict:
    """Judge a repair.

    Parameters
    ----------
    source, load : str
        Voltages at the battery's posts and across the load, while it runs: "12.21 V", or 12,21.
    system : float
        Nominal voltage. [V]
    critical : bool
        Hold it to 3 %.

    Raises
    ------
    CircuitError
        If a voltage cannot be read.
    """
    at_source, at_load = volts(source, "source"), volts(load, "load")
    if at_load > at_source + 0.05:
        raise CircuitError(
            [
                f"load: found {load}, which is more than the battery's {source}; read both while "
                "the load runs, one straight after the other"
            ]
        )
    lost = max(at_source - at_load, 0.0)
    share = lost / system
    said = f"{show(lost, 'V', 3)} is lost on the way out and back, {100 * share:.1f} %"
    limit = CRITICAL if critical else OTHER
    if at_source < FLAT * system:
        text = (
            f"{said}; but the battery itself stands at {show(at_source, 'V', 4)} under this load: "
            "charge it, and prove the repair again"
        )
        return Verdict(False, share, text)
    if share <= CRITICAL:
        return Verdict(True, share, f"{said}: within 3 %, fit for any load.")
    if share <= limit:
        return Verdict(True, share, f"{said}: within 10 %, not within 3 %.")
    return Verdict(False, share, f"{said}: more than {100 * limit:.0f} %; it is not repaired yet.")


def volts(text: str, key: str) -> float:
    """Read a voltage as people type it."""
    plain = text.strip().replace(",", ".")
    try:
        return VOLTAGE.parse(plain if plain[-1:].isalpha() else f"{plain} V")
    except QuantityError as error:
        raise CircuitError([f"{key}: {error}"]) from None
