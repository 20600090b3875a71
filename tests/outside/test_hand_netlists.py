"""labkit and ngspice agree on circuits whose netlists were written by hand."""

import pytest

from labkit.solving.solver import solve

from . import hand_netlists
from .checks import failures

NAMES = hand_netlists.names()


@pytest.mark.parametrize("name", NAMES)
def test_every_node_voltage_is_that_of_ngspice(name: str) -> None:
    assert not failures(hand_netlists.checks_of(name))


@pytest.mark.parametrize("name", NAMES)
def test_the_netlist_has_every_node_of_the_circuit(name: str) -> None:
    circuit = hand_netlists.faulted_circuit(name)
    compared = {circuit.node_of[terminal] for terminal in hand_netlists.spice_volts(name)}

    assert compared == set(circuit.node_of.values()) - {"DC-"}


def test_the_relay_of_the_radio_is_pulled_in_with_volts_to_spare() -> None:
    solved = solve(hand_netlists.faulted_circuit("radio_relay"))

    assert solved.states["K1"] == "pulled in"
    assert hand_netlists.spice_volts("radio_relay")["W2:2"] > 7.2


def test_the_charger_at_its_limit_has_volts_to_spare() -> None:
    own_resistance, limit = 4e-3, 30
    terminal = hand_netlists.spice_volts("charging_24_volts")["G1:+"]
    assert terminal < 28.4 - limit * own_resistance


def test_a_missing_ngspice_is_said_plainly_and_not_passed_over(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(hand_netlists, "which", lambda program: None)
    with pytest.raises(hand_netlists.EngineError, match="ngspice is not installed"):
        hand_netlists.checks_of(NAMES[0])
