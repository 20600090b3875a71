"""Practise finding faults in a boat's DC electrics.

Names are loaded when first used, so that `import labkit` is quick.
"""

from __future__ import annotations

import importlib
from typing import Any

_HOME = {
    "Circuit": "circuit",
    "CircuitError": "messages",
    "OperatingPoint": "solver",
    "Via": "circuit",
    "build_circuit": "circuit",
    "load_circuit": "circuit_file",
    "run": "circuit",
    "solve": "solver",
}

__all__ = sorted(_HOME)


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'labkit' has no attribute '{name}'")
    return getattr(importlib.import_module(f"labkit.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    return __all__
