import pytest

from labkit.circuits.circuit import Circuit
from labkit.exercises.checking import check_file, toml_files
from labkit.exercises.exercise import Exercise, load_exercise
from labkit.exercises.files import load
from labkit.exercises.proving import Proof, prove
from labkit.text.messages import CircuitError
from tests.boats import CIRCUITS, EXERCISES, lamp, pump, share

FILES = sorted(EXERCISES.glob("*.toml"))

CIRCUIT = """
title = "invented lamp"
[[run]]
from = "DC-"
to = "stud"
parts = [ { id = "G1", is = "battery", emf = "12.6 V", resistance = "10 mohm" } ]
[[run]]
from = "stud"
to = "DC-"
parts = [
  { id = "F1", is = "fuse", rating = "5 A" },
  { id = "S1", is = "switch" },
  { id = "E1", is = "lamp", power = "21 W" },
]
"""

EXERCISE = """
title = "No light"
circuit = "lamp.toml"
complaint = "It is dark."
positions = { S1 = "on" }
faults = ["F1 blown", "S1 open"]
deal = "one of"
cause = ["Vibration.", "Wear."]
[proof]
load = "E1"
positions = { S1 = "on" }
drop = "10 %"
"""


def written(folder, text=EXERCISE, circuit=CIRCUIT):
    (folder / "lamp.toml").write_text(circuit)
    (folder / "dark.toml").write_text(text)
    return folder / "dark.toml"


@pytest.mark.parametrize("file", share(FILES, 2) + CIRCUITS, ids=lambda f: f.stem)
def test_everything_shipped_passes_its_check(file):
    line, problems, _ = check_file(file)
    assert not problems
    assert line


def test_there_is_something_shipped():
    assert len(FILES) >= 14
    assert len(CIRCUITS) >= 8


def test_a_circuit_or_an_exercise_is_told_by_its_keys():
    assert isinstance(load(CIRCUITS[0]), Circuit)
    assert isinstance(load(FILES[0]), Exercise)


def test_the_same_name_is_dealt_the_same_fault_and_names_differ(tmp_path):
    exercise = load_exercise(written(tmp_path))
    dealt = [exercise.deal(name).faults for name in ("Ana", "Bo", "Cy", "Dee", "Eli", "Flo")]
    assert dealt == [exercise.deal(n).faults for n in ("Ana", "Bo", "Cy", "Dee", "Eli", "Flo")]
    assert set(dealt) == {("F1 blown",), ("S1 open",)}


def test_each_variant_has_its_own_cause(tmp_path):
    exercise = load_exercise(written(tmp_path))
    assert exercise.variant(0).cause == "Vibration."
    assert exercise.variant(1).cause == "Wear."
    assert exercise.circuit.positions["S1"] == "on"


def test_faults_dealt_together_are_all_there(tmp_path):
    text = EXERCISE.replace('deal = "one of"\n', "").replace('["Vibration.", "Wear."]', '"Both."')
    assert load_exercise(written(tmp_path, text)).deal().faults == ("F1 blown", "S1 open")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('complaint = "It is dark."', "", "complaint: is missing"),
        ('complaint = "It is dark."', 'complant = "It is dark."', "did you mean 'complaint'"),
        ('"lamp.toml"', '"../lamp.toml"', "name a file beside the exercise"),
        ('"lamp.toml"', '"/etc/hosts"', "name a file beside the exercise"),
        ('"lamp.toml"', '"other.toml"', "no such file"),
        ('"F1 blown"', '"F1 bloan"', "did you mean 'blown'"),
        ('"F1 blown"', '"F9 blown"', "no part 'F9'"),
        ('["F1 blown", "S1 open"]', "[]", "faults: found []; write one at least"),
        ('"one of"', '"some"', "'all' or 'one of'"),
        ('["Vibration.", "Wear."]', '["One."]', "found 1 for 2 variants"),
        ('load = "E1"', 'load = "E2"', "proof.load: no part 'E2'"),
        ('S1 = "on" }\nfaults', 'S1 = "up" }\nfaults', "positions: S1: no position 'up'"),
        ('drop = "10 %"', "drop = 10", "proof.drop: found 10 without a unit"),
        ('drop = "10 %"', 'dorp = "10 %"', "did you mean 'drop'"),
    ],
)
def test_a_mistake_in_an_exercise_is_named_with_its_key(tmp_path, old, new, says):
    assert old in EXERCISE
    with pytest.raises(CircuitError) as refusal:
        load_exercise(written(tmp_path, EXERCISE.replace(old, new, 1)))
    assert says in str(refusal.value)
    assert all(str(tmp_path) in problem for problem in refusal.value.problems)


def test_a_fault_that_shows_nowhere_is_reported(tmp_path):
    text = EXERCISE.replace('"F1 blown"', '"F1 wrong fuse 6 A"')
    assert any("shows neither" in p for p in check_file(written(tmp_path, text))[1])


def test_a_proof_that_an_unrepaired_boat_passes_is_reported(tmp_path):
    text = EXERCISE.replace('"F1 blown"', '"F1 resistance 0.3 ohm"').replace("10 %", "50 %")
    assert any("passes the proof unrepaired" in p for p in check_file(written(tmp_path, text))[1])


def test_a_healthy_boat_that_fails_its_proof_is_reported(tmp_path):
    text = EXERCISE.replace("10 %", "0.1 %")
    assert any(
        "the healthy circuit does not pass" in p for p in check_file(written(tmp_path, text))[1]
    )


def test_a_fuse_too_small_for_its_load_is_reported(tmp_path):
    circuit = CIRCUIT.replace("5 A", "1 A").replace('"switch"', '"switch", position = "on"')
    written(tmp_path, circuit=circuit)
    assert any("opens with nothing wrong" in p for p in check_file(tmp_path / "lamp.toml")[1])


def test_a_folder_is_searched_and_an_empty_one_named(tmp_path):
    (tmp_path / "empty").mkdir()
    written(tmp_path)
    files, problems = toml_files([tmp_path, tmp_path / "empty"])
    assert [f.name for f in files] == ["dark.toml", "lamp.toml"]
    assert len(problems) == 1


PUMP = Proof("M1", {"S1": "on"}, 0.1)


def test_a_sound_pump_is_proven_in_numbers():
    verdict = prove(pump(), PUMP, pump())
    assert verdict.ok
    assert "within 10 %" in verdict.text


def test_a_corroded_joint_is_not_proven_sound_by_an_unloaded_volt_meter():
    assert not prove(pump().with_fault("X1 resistance 2 ohm"), PUMP, pump()).ok


def test_nothing_is_proven_with_the_jumper_still_in():
    from labkit.aboard.bench import Bench

    bench = Bench(pump().with_fault("X1 open"))
    bench.jumper("X1:1", "X1:2")
    verdict = prove(bench.circuit, PUMP, pump())
    assert not verdict.ok
    assert "still there" in verdict.text


def test_shaking_finds_an_intermittent_plug():
    proof = Proof("E1", {"S1": "on"}, 0.1)
    assert prove(lamp(), proof, lamp()).ok
    assert not prove(lamp().with_fault("X1 intermittent"), proof, lamp()).ok


def test_a_welded_switch_is_found_with_the_switch_off():
    proof = Proof("M1", {"S1": "on"}, 0.1, idle={"S1": "off"})
    assert prove(pump(), proof, pump()).ok
    assert not prove(pump().with_fault("S1 welded"), proof, pump()).ok


def test_nothing_is_proven_without_current():
    verdict = prove(pump().with_fault("F1 blown"), PUMP, pump())
    assert not verdict.ok
    assert "no steady current" in verdict.text
