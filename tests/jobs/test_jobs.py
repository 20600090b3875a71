"""A job from the interview to the log, as an owner types it."""

import tomllib

import pytest
from typer.testing import CliRunner

from labkit.circuits.circuit_file import circuit_from, load_circuit
from labkit.cli.main import app
from labkit.jobs.interview import answered, interview, next_question, templates
from labkit.jobs.job_file import Done, Job, Proof, job_text, read_job
from labkit.jobs.practice import Practice
from labkit.jobs.proving import judge
from labkit.text.messages import CircuitError


def run(*words, typed=""):
    return CliRunner().invoke(app, list(words), input=typed)


@pytest.mark.parametrize("name", sorted(templates()))
def test_every_template_is_a_circuit_that_leaves_something_open(name):
    text = templates()[name]
    circuit = circuit_from(tomllib.loads(text))
    assert next_question(text) is not None
    assert any(part.doubts for part in circuit.parts.values())


def test_there_is_a_template_for_each_of_the_seven_commonest_complaints():
    assert set(templates()) == {
        "panel", "water", "fridge", "bilge", "windlass", "lights", "flat",
    }  # fmt: skip  # rows that a reader compares


def test_the_file_is_whole_after_every_answer():
    kept = []
    answers = iter(["12,4 V", "", "nonsense", "10 A"])
    interview(templates()["water"], lambda q: next(answers, ""), kept.append, lambda said: None)
    for text in kept:
        circuit_from(tomllib.loads(text))
    assert load(kept[-1]).parts["G1"].emf == pytest.approx(12.4)
    assert load(kept[-1]).parts["F2"].rated == pytest.approx(10)


def load(text):
    return circuit_from(tomllib.loads(text))


def test_an_answer_of_the_wrong_kind_is_refused_in_a_sentence():
    text = templates()["water"]
    with pytest.raises(CircuitError, match="emf"):
        answered(text, next_question(text), "5 ohm")


@pytest.mark.parametrize(("typed", "volts"), [("12.4", 12.4), ("12,4", 12.4), ("about 12.4", 12.4)])
def test_a_bare_number_is_in_the_unit_that_is_asked_for(typed, volts):
    text = templates()["water"]
    assert load(answered(text, next_question(text), typed)).parts["G1"].emf == pytest.approx(volts)


SPOKEN = {
    "14 gauge": 'size = "14 AWG"', "14ga": 'size = "14 AWG"', "2.5mm": 'size = "2.5 mm2"',
    "2,5 sq mm": 'size = "2.5 mm2"', "1.5-2.5": 'size = "1.5..2.5 mm2"',
    "between 1.5 and 2.5 mm": 'size = "1.5..2.5 mm2"',
    "15 feet": 'length = "15 ft"', "5 metres": 'length = "5 m"', "~5": 'length = "about 5 m"',
    "4 or 5": 'current = "4..5 A"', "5 amps": 'current = "5 A"',
    "12.6 volts": 'emf = "12.6 V"', "110 amp hours": 'capacity = "110 Ah"',
    "6 m +- 20 %": 'length = "6 m +- 20 %"',
}  # fmt: skip  # rows that a reader compares


@pytest.mark.parametrize(("typed", "written"), SPOKEN.items())
def test_units_may_be_typed_as_people_say_them(typed, written):
    text = templates()["water"]
    question = next_question(text)
    while question.key != written.split()[0]:
        question = next_question(text, question.end)
    made = answered(text, question, typed)
    assert written in made[question.start : question.start + 40]


@pytest.mark.parametrize("typed", ["don't know", "no idea", "?", "n/a", "I do not know", "-"])
def test_whoever_does_not_know_may_say_so(typed):
    text, told = templates()["water"], []
    assert interview(text, lambda q: typed, lambda made: None, told.append) == text
    assert not told


def test_a_bare_gauge_is_not_taken_for_square_millimetres():
    text = templates()["water"]
    question = next_question(text)
    while question.key != "size":
        question = next_question(text, question.end)
    with pytest.raises(CircuitError, match="14 AWG"):
        answered(text, question, "14")


def test_a_part_without_a_name_is_asked_for_by_its_run():
    question = next_question(templates()["lights"])
    while question.part != "W1":
        question = next_question(templates()["lights"], question.end)
    assert question.text.startswith("W1 cable of 'feed': size")


def test_a_complaint_names_the_load(tmp_path):
    (tmp_path / "mine.toml").write_text(templates()["lights"])
    job = tmp_path / "a.job.toml"
    run("job", "new", str(job), "--boat", str(tmp_path / "mine.toml"), "--complaint", "E2 dim")
    assert read_job(job)[0].load == "E2"


def test_a_job_is_read_as_it_was_written(tmp_path):
    (tmp_path / "mine.toml").write_text(templates()["water"])
    job = Job(
        boat="mine.toml", load="M1", complaint=["M1 dead"], without=["clamp"],
        seen=['X1:1 DC- volts 12,1 S2=on', "battery stud panel 0.1 V"],
        done=Done(part="X1", what='a "new" splice \\ heat-shrunk', why="salt – at the pump"),
        proof=Proof(source="12.2", load="11.9"),
    )  # fmt: skip  # rows that a reader compares
    (tmp_path / "a.job.toml").write_text(job_text(job), encoding="utf-8")
    assert read_job(tmp_path / "a.job.toml")[0] == job


@pytest.mark.parametrize(
    ("source", "load", "critical", "ok"),
    [
        ("12.21", "12.00 V", False, True),  # 0.21 V of 12 V: 1.75 %
        ("12,21", "11,78", False, True),  # 3.6 %
        ("12.21", "11.78", True, False),
        ("12.21", "10.5", False, False),  # 14 %
        ("10.4", "10.3", False, False),  # the battery itself
    ],
)
def test_a_repair_is_judged_by_what_is_lost_on_the_way(source, load, critical, ok):
    assert judge(source, load, 12.0, critical).ok is ok


def test_more_at_the_load_than_at_the_battery_is_refused():
    with pytest.raises(CircuitError, match="more than the battery"):
        judge("12.2", "12.6", 12.0)


def test_a_job_goes_from_complaint_to_log(tmp_path):
    boat, job = str(tmp_path / "mine.toml"), str(tmp_path / "pump.job.toml")
    assert run("boat", "new", boat, "--from", "water", typed="12,4 V\n\n10 A\n").exit_code == 0
    assert load_circuit(boat).parts["F2"].rated == pytest.approx(10)
    made = run("job", "new", job, "--boat", boat, "--load", "M1", "--complaint", "dead")
    assert "Make safe first" in made.output
    first = run("job", "seen", job, "G1:+ G1:- volts 12.31")
    assert first.exit_code == 0
    run("job", "seen", job, "X2:2 DC- volts 0,01 S2=on")
    last = run("job", "seen", job, "X2:1 X2:2 volts 12,0 S2=on", "X1:2 DC- volts 12.1 S2=on")
    assert "X2" in last.output.splitlines()[1]
    before = (tmp_path / "pump.job.toml").read_text()
    assert run("job", "seen", job, "rubbish").exception is not None
    assert (tmp_path / "pump.job.toml").read_text() == before  # nothing half written
    proved = run("job", "prove", job, "--source", "12.21", "--load", "11.9", "--part", "X2",
                 "--what", "new stud")  # fmt: skip  # rows that a reader compares
    assert proved.exit_code == 0
    log = run("job", "log", job).output
    assert "new stud" in log
    assert "12.21 at the battery" in log
    undone = run("job", "seen", job, "--undo")
    assert undone.exit_code == 0
    assert len(read_job(tmp_path / "pump.job.toml")[0].seen) == 3


def test_practice_deals_the_same_again_and_names_it():
    circuit = load(templates()["water"])
    play, again = (Practice(circuit, "M1", "seven") for _ in range(2))
    assert play.opening() == again.opening()
    assert play.do("G1:+ G1:- volts") == again.do("G1:+ G1:- volts")
    fault = play._faults.faults[0]
    assert play.do(f"name {fault.part} {fault.mode}").startswith("Right")
    assert play.over


def test_practice_boats_are_not_as_drawn():
    circuit = load(templates()["water"])
    volts = {Practice(circuit, "", str(n)).do("G1:+ G1:- volts").split("(")[0] for n in range(6)}
    assert len(volts) > 3
