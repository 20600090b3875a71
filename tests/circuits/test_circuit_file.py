"""A mistake in a circuit file gets a sentence: file, run, part, key, what was found, what is right.

Each file in `broken/` has one mistake (one has several); its first lines, `#! `, are what must be
said about it, word for word.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import circuit_from, load_circuit
from labkit.parts import KINDS
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError
from labkit.text.toml_file import LARGEST_FILE
from tests.abuse.damage import misfilled

HERE = Path(__file__).parent
BROKEN = sorted((HERE / "broken").glob("*.toml"))
SHIPPED = sorted((HERE.parents[1] / "exercises" / "circuits").glob("*.toml"))


def problems(path: Path) -> list[str]:
    with pytest.raises(CircuitError) as refused:
        load_circuit(path)
    return [text.replace(str(path), path.name) for text in refused.value.problems]


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_a_mistake_is_told_in_a_sentence(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    expected = [line[3:] for line in lines if line.startswith("#! ")]
    assert expected
    assert problems(path) == expected


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_a_sentence_names_the_file_and_says_what_would_be_right(path: Path) -> None:
    for text in problems(path):
        assert text.startswith(f"{path.name}: ")
        assert "\n" not in text
        assert "Error" not in text
        assert "pydantic" not in text
        assert len(text) < 250
        assert any(hint in text for hint in ("; ", "?")), "nothing is said of what would be right"


def test_all_mistakes_of_a_file_are_told_at_once() -> None:
    assert len(problems(HERE / "broken" / "several-at-once.toml")) == 7


# -- what is no text, or no table ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b'title = "caf\xe9"\n', "boat.toml: line 1 is not UTF-8 text; save the file as UTF-8"),
        (b"\xff\xfe\x00title", "boat.toml: line 1 is not UTF-8 text; save the file as UTF-8"),
        (bytes(range(256)) * 20_000, "boat.toml: is larger than 256 KiB; a circuit file is a page "
         "or two of text"),
        (b"title = " + b"[" * 5000,
         "boat.toml: is not TOML: nested far too deep; mend that line"),
    ],
    ids=["latin-1", "utf-16", "5 MB of nonsense", "nested"],
)  # fmt: skip  # rows that a reader compares
def test_a_file_that_is_no_text_is_refused(data: bytes, sentence: str, tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_bytes(data)
    assert problems(path) == [sentence]


def test_a_file_as_large_as_allowed_is_read(tmp_path: Path) -> None:
    text = SHIPPED[0].read_text(encoding="utf-8")
    path = tmp_path / "boat.toml"
    path.write_text(text + "#" * (LARGEST_FILE - len(text.encode())), encoding="utf-8")
    assert load_circuit(path).parts


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SHIPPED[0].read_bytes())
    assert load_circuit(path).title == load_circuit(SHIPPED[0]).title


def test_a_missing_file_and_a_folder_are_told_apart(tmp_path: Path) -> None:
    assert problems(tmp_path / "none.toml") == [
        "none.toml: no such file or directory; name a TOML file that can be read"
    ]
    assert "is a directory" in problems(tmp_path)[0]


def test_an_empty_file_is_told_what_it_lacks(tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_text("")
    assert [text.split(": ")[1] for text in problems(path)] == ["title", "run"]


# -- what is right -----------------------------------------------------------------------------


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_circuit_is_read(path: Path) -> None:
    circuit = load_circuit(path)
    assert circuit.file == str(path)
    assert circuit.title
    assert set(circuit.parts) == {step.part for run in circuit.runs for step in run.passes}


def test_the_circuits_ship_every_kind_of_part_that_carries_a_load() -> None:
    kinds = {part.kind for path in SHIPPED for part in load_circuit(path).parts.values()}
    assert {
        "battery",
        "cable",
        "fuse",
        "breaker",
        "switch",
        "joint",
        "lamp",
        "motor",
        "relay",
        "electronics",
        "changeover",
        "float",
        "connector",
        "diode",
        "indicator",
    } <= kinds
    assert kinds <= set(KINDS)  # fmt: skip  # rows that a reader compares


def test_a_file_says_what_the_same_circuit_in_python_says() -> None:
    circuit = circuit_from(
        tomllib.loads(
            """
            title = "lamp"
            run = [
              { from = "DC-", to = "plus", parts = [
                { id = "G1", is = "battery", emf = "12 V" } ] },
              { from = "plus", to = "DC-", parts = [
                { id = "W1", is = "cable", resistance = "1 ohm" },
                { id = "R1", is = "resistor", resistance = "5 ohm" } ] },
            ]
            """
        )
    )
    solved = solve(circuit)
    assert solved.amps["R1"] == pytest.approx(12 / 6.008)
    assert [run.name for run in circuit.runs] == ["run 1", "run 2"]


# -- whatever is done to a file, nothing but sentences -----------------------------------------

MARKS = ['"', "'", "[", "]", "{", "}", "=", ",", "#", "\n", ".", "-", "0", " ", "\\", "\x00", "é"]
WORDS = ["12 V", "DC-", "-1 ohm", "1e400 ohm", "nan V", "inf A", "", "30-87", "G1", "joint", "∞"]


def mutated(rng: Random, text: str) -> str:
    for _ in range(rng.randint(1, 4)):
        lines = text.split("\n")
        at, line = rng.randrange(len(text) or 1), rng.randrange(len(lines))
        kind = rng.randrange(6)
        if kind == 0:
            text = text[:at] + rng.choice(MARKS) + text[at:]
        elif kind == 1:
            text = text[:at] + text[at + rng.randint(1, 5) :]
        elif kind == 2:
            text = "\n".join(lines[:line] + lines[line + 1 :])
        elif kind == 3:
            text = "\n".join([*lines[:line], lines[line], *lines[line:]])
        elif kind == 4:
            quoted = text.split('"')
            place = rng.randrange(len(quoted) // 2) * 2 + 1 if len(quoted) > 2 else 0
            quoted[place] = rng.choice(WORDS)
            text = '"'.join(quoted)
        else:
            text = text.replace(rng.choice([*WORDS[:3], "is", "ohm", "m"]), rng.choice(WORDS), 1)
    return text


def is_refused_or_solved(make: Callable[[], Circuit]) -> None:
    told: list[str] = []
    try:
        assert solve(make()).states is not None
        return
    except CircuitError as error:
        told = error.problems
    assert told
    assert all(text.startswith("boat.toml: ") and len(text) < 700 for text in told)


@settings(max_examples=60)  # `python -m tests.abuse` reads thousands
@given(seed=st.integers(0, 2**32 - 1))
def test_a_damaged_file_is_refused_in_sentences_or_read(seed: int) -> None:
    rng = Random(seed)
    text = mutated(rng, rng.choice(SHIPPED).read_text(encoding="utf-8"))

    def make() -> Circuit:
        try:
            table = tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            raise CircuitError([f"boat.toml: {error}"[:390]]) from None
        return circuit_from(table, "boat.toml")

    is_refused_or_solved(make)


@settings(max_examples=80)
@given(seed=st.integers(0, 2**32 - 1))
def test_any_value_in_any_place_is_refused_in_sentences_or_read(seed: int) -> None:
    rng = Random(seed)
    shipped = tomllib.loads(rng.choice(SHIPPED).read_text(encoding="utf-8"))
    table = misfilled(rng, shipped)
    is_refused_or_solved(lambda: circuit_from(table, "boat.toml"))


def test_a_boat_beyond_reason_is_refused_with_her_size():
    lamps = [{"id": f"X{n}", "is": "joint"} for n in range(1, 3002)]
    table = {"title": "a wall of joints", "run": [{"from": "a", "to": "DC-", "parts": lamps}]}
    with pytest.raises(CircuitError, match="3,001 parts in 1 runs; at most 3,000"):
        circuit_from(table, "wall.toml")
