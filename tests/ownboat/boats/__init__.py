"""The invented boats of these tests."""

from pathlib import Path

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit

FOLDER = Path(__file__).parent
NAMES = ("water", "fridge", "windlass", "flat")


def described(name: str) -> Circuit:
    """A boat as its owner describes it."""
    return load_circuit(FOLDER / f"{name}.toml")
