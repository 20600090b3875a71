"""A circuit file explained: nothing is left out, and every example on the page works."""

import tomllib

import pytest
from pydantic import ValidationError
from typer.testing import CliRunner

from labkit.circuits.circuit_file import circuit_from
from labkit.circuits.fault_text import parse_fault
from labkit.cli.main import app
from labkit.desk.part_kinds import (
    EXAMPLE,
    MEANINGS,
    example_steps,
    fails,
    keys_of,
    passes,
    says,
    written,
)
from labkit.parts import KINDS, Part
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError


def names(kind):
    return {field.alias or name for name, field in kind.model_fields.items()}


def test_every_key_of_every_kind_has_its_meaning_and_no_other_stands_there():
    assert set(MEANINGS) == {key for kind in KINDS.values() for key in names(kind)}


@pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))
def test_a_kind_is_explained_whole(kind):
    told = [*keys_of(kind), *keys_of(kind, common=True)]
    assert {key.name for key in told} == names(kind)
    assert says(kind).endswith(".")
    assert passes(kind)
    part = tomllib.loads(f"part = {written(kind)}")["part"]
    made = KINDS[part.pop("is")].model_validate(part, context={"system": 12.0})
    for text in fails(kind):  # what it fails by can be written so
        assert parse_fault(f"{made.id} {text}", {made.id: made}).mode in kind.modes


def refused(kind, keys):
    """Names of the keys that a part refuses by themselves."""
    try:
        kind.model_validate(keys, context={"system": 12.0})
    except ValidationError as error:
        return {e["loc"][0] for e in error.errors() if e["loc"]}
    return set()


@pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))
def test_what_is_written_such_as_is_right(kind):
    given = {"id": f"{kind.letters[0]}1", **kind.example}
    for key in [*keys_of(kind), *keys_of(kind, common=True)]:
        value = tomllib.loads(f"x = [{key.example}]")["x"][0]
        assert key.name not in refused(kind, {**given, key.name: value})


@pytest.mark.parametrize("text", [file for _, file in EXAMPLE])
def test_each_step_of_the_example_is_a_circuit_that_works(text):
    circuit = circuit_from(tomllib.loads(text))
    on = {p.id: "on" for p in circuit.parts.values() if "on" in p.choices}
    amps = solve(circuit.with_position(**on)).amps
    assert all(abs(amps[id]) > 0.1 for id in circuit.parts if id[0] in "EM")


def test_a_step_shows_what_is_new_in_it():
    _, new = example_steps()[-1]
    assert "relay" in new
    assert "battery" not in new


def test_the_command_explains_and_a_wrong_key_sends_one_there():
    run = CliRunner().invoke
    whole = run(app, ["kinds"]).output
    assert all(f'is = "{kind}"' in whole for kind in KINDS)
    assert "cut_out" in run(app, ["kinds", "electronics"]).output
    assert "Positions: closed, open" in run(app, ["kinds", "thermal", "switch"]).output
    assert "did you mean 'battery'" in str(run(app, ["kinds", "batery"]).exception)
    text = EXAMPLE[0][1].replace('power = "10 W"', 'power = "10 W", shade = "red"')
    with pytest.raises(CircuitError, match="has no such key; see them with: labkit kinds lamp"):
        circuit_from(tomllib.loads(text))


def test_keys_every_part_takes_are_told_once():
    assert {key.name for key in keys_of(Part, common=True)} == set(Part.model_fields)
