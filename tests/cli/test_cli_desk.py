"""The instructor's commands, as a person gives them."""

import csv
import json
import shutil
from datetime import UTC, datetime

import pytest
from typer.testing import CliRunner

from labkit.cli.main import app, main
from labkit.exercises.exercise import load_exercise
from labkit.exercises.files import load
from labkit.hunts.kept import KeptHunt
from labkit.lessons.lesson import Lesson
from labkit.questions import Choose
from labkit.record import begin
from labkit.record.attempt import head
from labkit.record.lines import encode
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES

WASHDOWN = str(EXERCISES / "slow-washdown.toml")
SURVEY = str(EXERCISES / "surveys" / "sold-as-seen.toml")
COMMANDS = ("new", "key", "deal", "marks", "sheet", "schema")


@pytest.fixture
def run(monkeypatch, tmp_path):
    """Give a command in an empty folder; return what it prints, or raise what is wrong."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")

    def give(*args):
        done = CliRunner().invoke(app, args)
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            raise done.exception
        assert done.exit_code == 0, done.output
        return " ".join(done.stdout.split())

    return give


@pytest.fixture
def course(tmp_path):
    """A copy of the exercises, since dealing leaves a file beside one."""
    return shutil.copytree(EXERCISES, tmp_path / "course", ignore=shutil.ignore_patterns("*.dealt"))


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself_with_an_example(run, command):
    assert f"Example: labkit {command} " in run(command, "--help")


def test_a_first_exercise_is_written_checked_and_printed(run, tmp_path):
    said = run("new", "mine.toml", "--circuit", "lamp")
    assert "wrote circuits/mine.toml" in said
    assert "wrote mine.toml" in said
    assert "difficulty" in run("check", ".")
    assert run("sheet", "mine.toml") == "wrote mine.pdf"
    assert (tmp_path / "mine.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    "args",
    [
        ("new", "there.toml"),
        ("sheet", WASHDOWN, "-o", "there.pdf"),
        ("schema", "--to", "there.json"),
        ("deal", "course/slow-washdown.toml", "there", "--to", "."),
    ],
)
@pytest.mark.usefixtures("course")
def test_no_command_replaces_a_file_unasked(run, tmp_path, args):
    there = [tmp_path / f"there.{kind}" for kind in ("toml", "pdf", "json")]
    there.append(tmp_path / "slow-washdown-there.toml")
    for path in there:
        path.write_text("precious")
    with pytest.raises(CircuitError, match="is already there; name another file, or say --over"):
        run(*args)
    assert [path.read_text() for path in there] == ["precious"] * 4
    assert "wrote" in run(*args, "--overwrite")


def test_a_short_key_is_a_line_for_each_variant(run):
    said = run("key", str(EXERCISES / "chart-lamp-dark.toml"), "--short")
    assert said.count("nothing flows") == 3
    assert "S2 (lamp switch): does not make" in said


def test_a_key_says_which_amounts_are_each_learners_own(run):
    file = str(EXERCISES / "crimped-on-sunday.toml")
    assert "0.5..1" in run("key", file, "--short")
    assert "dealt an amount of their own: X1 resistance 0.5..1 ohm" in run("key", file)
    assert "amount of their own" not in run("key", file, "--seed", "Ada")


def test_each_learner_of_a_class_gets_a_page_with_the_name_on_it(run, tmp_path):
    (tmp_path / "names.txt").write_text("Ada\nBo Ek\n", encoding="utf-8")
    said = run("sheet", WASHDOWN, "--class", "names.txt", "--to", "pages")
    assert said.count("wrote ") == 2
    assert {path.name for path in (tmp_path / "pages").iterdir()} == {
        "slow-washdown-ada.pdf", "slow-washdown-bo-ek.pdf",
    }  # fmt: skip  # rows that a reader compares


def test_a_key_has_every_part_of_an_answer(run):
    said = run("key", WASHDOWN)
    for words in (
        "What is wrong: X1 (crimped splice in the chain locker)", "Cause: Salt water",
        "M1:1 taken off", "12.32 V → 7.04 V *", "Deciding readings, clearest first", "Best path",
        "Wrong answers that look the same", "Before:", "After:",
    ):  # fmt: skip  # rows that a reader compares
        assert words in said


def test_ways_of_searching_are_compared_where_asked(run):
    assert "Ways compared" not in run("key", WASHDOWN)
    assert "Half-splitting: " in run("key", WASHDOWN, "--ways")


def test_a_key_without_a_name_tells_every_variant_and_with_one_that_persons(run):
    file = str(EXERCISES / "washdown-dead.toml")
    exercise = load_exercise(file)
    assert run("key", file).count("What is wrong:") == len(exercise.variants)
    (fault,) = exercise.deal("Ada").circuit.faults
    assert f"What is wrong: {fault.part} " in run("key", file, "--seed", "Ada")


def test_a_learners_file_is_dealt_checked_keyed_and_printed(run, tmp_path, course):
    (tmp_path / "names.txt").write_text("Ada\nBo\n")
    file = str(course / "washdown-dead.toml")
    run("deal", file, "--class", "names.txt", "--to", "dealt")
    mine = "dealt/washdown-dead-ada.toml"
    assert "dealt to Ada" in run("check", mine)
    assert run("key", mine) == run("key", file, "--seed", "Ada")
    run("sheet", mine, "--key", "-o", "ada.pdf")
    listed = run("deal", file, "Ada", "Bo")
    assert load_exercise(file).deal("Bo").faults[0] in listed


def test_a_survey_is_keyed_and_dealt_as_a_hunt_is(run, tmp_path, course):
    file = str(course / "surveys" / "new-loads.toml")
    said = run("key", file)
    assert said.count("Fitted otherwise than drawn:") == 3
    for words in ("A surveyor would write:", "Standard: 33 CFR", "Binds ", "To put it right: fit"):
        assert words in said
    assert "F4 fuse too big; F2 locked rotor" in run("key", file, "--short")
    run("deal", file, "Ada", "Bo", "--to", "dealt")
    assert "dealt to Ada" in run("check", "dealt/new-loads-ada.toml")
    assert run("key", "dealt/new-loads-bo.toml") == run("key", file, "--seed", "Bo")
    run("deal", file, "Ada", "--to", "dealt", "--sealed")
    assert (tmp_path / "dealt" / "new-loads-ada.ipynb").is_file()
    assert load(file).deal("Bo").faults[0] in run("deal", file, "Ada", "Bo")


def test_marks_are_printed_by_exercise_and_damage_is_named(run, tmp_path):
    exercise = load_exercise(WASHDOWN)
    for name in ("Ada", "Bo"):
        hunt = KeptHunt(exercise, name, tmp_path / "attempts")
        hunt.name("M1", "seized")
        hunt.attempt.close()
    said = run("marks", "attempts", "--exercises", str(EXERCISES))
    assert f"{exercise.title}, par 25 min" in said
    assert "M1 seized, 2 learners" in said
    with open(hunt.attempt.path, "ab") as file:
        file.write(b"half")
    with pytest.raises(CircuitError, match="breaks off; 1 line before it used"):
        run("marks", "attempts")


def test_answers_to_a_lesson_are_graded_again_and_a_forged_one_names_its_line(run, tmp_path):
    lesson = Lesson(EXERCISES.parent / "notebooks" / "01-start-here.toml")
    question = next(q for q in lesson.questions.values() if isinstance(q, Choose))
    for name, said in (("Ada", question.right), ("Bo", question.right), ("Cy", question.right)):
        attempt = begin(lesson.head.title, name, tmp_path / "attempts")
        if name == "Cy":
            said = next(answer for answer in question.answers if answer != question.right)
        attempt.add("answer", ask=question.ask, said=[said], right=True, misconception="")
        attempt.close()
    with pytest.raises(CircuitError) as refused:
        run("marks", "attempts", "--exercises", str(EXERCISES), "--csv", "book.csv")
    assert [text.partition("cy-")[2].partition(": ")[2] for text in refused.value.problems] == [
        "line 2 says right True; graded again it is False"
    ]
    book = list(csv.DictReader((tmp_path / "book.csv").read_text("utf-8").splitlines()))
    assert [(row["learner"], row["points"], row["checked"]) for row in book] == [
        ("Ada", "1.0", "yes"), ("Bo", "1.0", "yes"), ("Cy", "0.0", "no"),
    ]  # fmt: skip  # rows that a reader compares


ESCAPES = "\x1b[2J\x1b]0;owned\x07"


@pytest.mark.parametrize("where", ["learner", "title", "part", "mode", "misconception", "file"])
def test_no_control_character_of_a_record_reaches_a_terminal(where, monkeypatch, capsys, tmp_path):
    facts = dict.fromkeys(("learner", "title", "part", "mode", "misconception"), "Ada")
    facts |= {where: f"Ada{ESCAPES}"}
    lines = [
        ("attempt", head(facts.pop("title"), facts.pop("learner"), datetime.now(UTC))),
        ("named", {**facts, "right": False, "text": ESCAPES}),
    ]
    name = f"a{ESCAPES}.jsonl" if where == "file" else "a.jsonl"
    written = b"".join(encode(n, kind, facts) for n, (kind, facts) in enumerate(lines))
    (tmp_path / name).write_bytes(written + b"torn")
    monkeypatch.setattr("sys.argv", ["labkit", "marks", str(tmp_path)])
    with pytest.raises(SystemExit):
        main()
    said = "".join(capsys.readouterr())
    assert "breaks off" in said
    assert not {character for character in said if ord(character) < 32} - {"\n"}


def test_marks_are_of_one_term_or_of_last_years_folder_too(run, tmp_path):
    exercise = load_exercise(WASHDOWN)
    for name, year in (("Ada", "last"), ("Bo", "this")):
        hunt = KeptHunt(exercise, name, tmp_path / year)
        hunt.name("M1", "seized")
        hunt.attempt.close()
    assert "M1 seized, 2 learners" in run("marks", "this", "last")
    assert run("marks", "this", "last", "--json").count('"learner"') == 2
    today = hunt.attempt._begun.date().isoformat()
    assert run("marks", "this", "--json", "--since", today, "--until", today).count("Bo") >= 1
    with pytest.raises(CircuitError, match="this, last: no attempts of that time there"):
        run("marks", "this", "last", "--until", "2001-01-31")
    with pytest.raises(CircuitError, match="--since may: write a date as year-month-day"):
        run("marks", "this", "--since", "may")


def test_the_schema_is_json(run):
    assert "definitions" in json.loads(run("schema"))


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("sheet", WASHDOWN, "--paper", "a5"), "--paper a5: there are a4 and letter"),
        (("sheet", WASHDOWN, "-o", "x.png"), "x.png: the page is a PDF; name it x.pdf"),
        (("marks", "nowhere"), "nowhere: no such folder"),
        (("key", "nowhere.toml"), "nowhere.toml: no such file or directory"),
        (("key", "dealt/horn-ada.ipynb"), "a sealed one holds no answers; name the exercise"),
        (("sheet", "dealt/horn-ada.ipynb"), "a sealed one holds no answers; name the exercise"),
        (("deal", WASHDOWN), "the class has no names"),
        (("sheet", SURVEY), "is a survey, which has no page of readings"),
        (("key", SURVEY, "--ways"), "with no ways of searching to compare"),
        (
            ("sheet", str(EXERCISES / "washdown-dead.toml"), "--key"),
            "has 4 variants; say whose answers, such as --seed Ada",
        ),
        (
            ("sheet", str(EXERCISES / "circuits" / "washdown.toml"), "--key"),
            "is a circuit, with nothing wrong and no answers",
        ),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(run, args, said):
    with pytest.raises(CircuitError) as refused:
        run(*args)
    assert len(refused.value.problems) == 1
    assert said in refused.value.problems[0]


def test_what_is_wrong_with_a_circuit_is_said_once_where_its_exercise_is_checked_too(run, tmp_path):
    run("new", "mine.toml", "--circuit", "lamp")
    circuit = tmp_path / "circuits" / "mine.toml"
    text = circuit.read_text(encoding="utf-8")
    circuit.write_text(text.replace('is = "joint"', 'is = "splice"', 1), encoding="utf-8")
    with pytest.raises(CircuitError) as refused:
        run("check", ".")
    assert len(refused.value.problems) == 1
    assert refused.value.problems[0].endswith('no part "splice"; write "joint"')


def test_a_drawing_is_named_after_its_file(run, tmp_path):
    assert run("draw", WASHDOWN) == "wrote slow-washdown.svg"
    assert (tmp_path / "slow-washdown.svg").read_text(encoding="utf-8").startswith("<svg")
