"""Practise finding faults in a boat's DC electrics.

Names are loaded when first used, so that `import labkit` is quick.
"""

from __future__ import annotations

import importlib
from typing import Any

_HOME = {
    "Circuit": "circuits.circuit",
    "CircuitError": "text.messages",
    "OperatingPoint": "solving.solver",
    "Via": "circuits.circuit",
    "build_circuit": "circuits.circuit",
    "load_circuit": "circuits.circuit_file",
    "run": "circuits.circuit",
    "solve": "solving.solver",
}

__all__ = sorted(_HOME)


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'labkit' has no attribute '{name}'")
    return getattr(importlib.import_module(f"labkit.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    return __all__
