"""The instructor's desk: a file and what it is beside it, faults by slider, commands by button."""

import pytest
from ipywidgets import Widget

from labkit.cli.at_desk import desk_in, printed
from labkit.desk.outcomes import all_outcomes
from labkit.desk.pages import kind_page
from labkit.exercises.class_list import seeds_of
from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.parts import KINDS
from labkit.widgets.fault_panel import FaultPanel
from tests.boats import EXERCISES


@pytest.fixture
def desk(tmp_path):
    card = desk_in(tmp_path / "desk")
    card.start("galley-lamp", "lamp")
    return card


def test_a_desk_without_files_says_what_to_do(tmp_path):
    card = desk_in(tmp_path / "desk")
    assert card.findings == ["no files here yet; name an exercise above, and start"]
    card.start(" ")
    assert "name the new exercise first" in card.findings[0]


def test_a_starter_is_written_drawn_and_sound(desk):
    assert list(desk.file.options) == ["galley-lamp.toml", "circuits/galley-lamp.toml"]
    assert desk.file.value == "galley-lamp.toml"
    assert desk.findings == []
    assert "Nothing is wrong with it." in desk.says.value
    assert "<img alt=" in desk.picture.value


def test_each_save_is_judged_and_a_mistake_keeps_the_drawing(desk):
    drawn = desk.picture.value
    desk.text.value = desk.text.value.replace("complaint", "complant", 1)
    desk.save()
    assert any("did you mean 'complaint'" in text for text in desk.findings)
    assert not any(str(desk.path) in text for text in desk.findings)
    assert desk.picture.value == drawn
    desk.text.value = desk.text.value.replace("complant", "complaint", 1)
    desk.save()
    assert desk.findings == []
    assert load_exercise(desk.path).complaint


def test_a_file_changed_elsewhere_is_not_written_over(desk):
    there = desk.path.read_text("utf-8") + "# by hand\n"
    desk.path.write_text(there, encoding="utf-8")
    desk.text.value += "# on the card\n"
    desk.save()
    assert "was changed elsewhere" in desk.findings[0]
    assert desk.path.read_text("utf-8") == there
    desk.take_up()
    assert desk.text.value == there


def test_a_fault_of_any_part_is_seen_beside_the_sound_boat(desk):
    panel = desk.panel
    panel.part.value, panel.mode.value = "X1", "resistance"
    said = set()
    for ohms in (1.0, 3.0, 100.0):
        panel.slider.value = ohms
        assert panel.fault == f"X1 resistance {ohms:g} ohm"
        said.add(panel.says.value)
        assert "<img alt=" in panel.picture.value
    assert len(said) == 3
    panel.mode.value = "open"
    assert panel.fault == "X1 open"
    assert panel.slider.layout.display == "none"


def test_the_panel_takes_every_fault_of_every_part_of_a_boat(monkeypatch):
    monkeypatch.setattr(FaultPanel, "refresh", lambda panel: None)
    panel, tried = FaultPanel(), 0
    for name in ("slow-washdown", "no-crank", "sun-for-nothing"):
        exercise = load_exercise(EXERCISES / f"{name}.toml")
        boat = exercise.circuit.with_position(**exercise.proof.positions)
        panel.show(boat, exercise.proof.load)
        for part in boat.parts.values():
            for mode in part.modes.values():
                panel.part.value, panel.mode.value = part.id, mode.name
                assert boat.with_fault(panel.fault).faults[0].mode == mode.name
                tried += 1
    assert tried > 100


def test_what_was_chosen_stays_chosen_after_a_save(desk):
    desk.panel.part.value, desk.panel.mode.value = "X1", "resistance"
    desk.panel.slider.value = 2.0
    desk.save()
    assert desk.panel.fault == "X1 resistance 2 ohm"


def test_buttons_run_the_commands_and_show_what_they_print(desk):
    desk._on_file("check")()
    assert f"$ labkit check {desk.path}" in desk.printed.value
    assert "1 variant" in desk.printed.value
    desk._on_file("key", "--short")()
    assert "lost on the way" in desk.printed.value


def test_a_class_is_dealt_and_marked_from_the_card(desk):
    desk.of_class.names.value = "Ana\nBo Derry\n"
    desk.of_class.for_class("deal", after=["--to", str(desk.folder / "exam")])
    assert desk.printed.value.count("wrote ") == 2
    assert set(seeds_of(desk.path)) == {"Ana", "Bo Derry"}
    desk.of_class.for_class("deal", after=["--to", str(desk.folder / "exam")])
    assert "is already there" in desk.printed.value
    desk.list_files()
    assert "galley-lamp.toml" in desk.file.options
    assert not any("exam" in name for name in desk.file.options)
    desk.of_class.mark()
    assert "no such folder; name one that holds attempts" in " ".join(desk.printed.value.split())
    assert desk.of_class.page.value == ""


def test_this_years_and_last_years_attempts_are_marked_by_the_folders_rubric(desk):
    desk.of_class.names.value = "Ana\nBo\nDot\n"
    exercise = load_exercise(desk.path)
    for name, year in (("Ana", "attempts"), ("Bo", "last-year")):
        hunt = KeptHunt(exercise, name, desk.folder / year)
        hunt.bench.read("X1:1", "X1:2")
        assert hunt.name("X1", "high resistance").right
        hunt.attempt.close()
    (desk.folder / "rubric.toml").write_text("named = 7\nknown = 0\n", encoding="utf-8")
    desk.of_class.attempts.value = "attempts, last-year"
    desk.of_class.mark()
    book = (desk.folder / "marks.csv").read_text("utf-8").splitlines()
    assert [line.split(",")[:5] for line in book[1:]] == [
        ["Ana", exercise.title, "1", "yes", book[1].split(",")[4]],
        ["Bo", exercise.title, "1", "yes", book[2].split(",")[4]],
        ["Dot", exercise.title, "", "no", ""],
    ]
    assert [line.split(",")[5] for line in book[1:]] == ["7.0", "7.0", "0.0"]
    assert "What to teach next" in desk.of_class.page.value
    desk.of_class.since.value = "2999-01-01"
    desk.of_class.mark()
    assert "no attempts of that time" in " ".join(desk.printed.value.split())


def test_a_file_half_written_keeps_nobody_from_marking_the_others(desk):
    hunt = KeptHunt(load_exercise(desk.path), "Ana", desk.folder / "attempts")
    hunt.bench.read("X1:1", "X1:2")
    hunt.attempt.close()
    (desk.folder / "half.toml").write_text('title = "half"\ncircuit = "no"\n', encoding="utf-8")
    (desk.folder / "torn.toml").write_text('title = "torn', encoding="utf-8")
    desk.of_class.mark()
    said = " ".join(desk.printed.value.split())
    assert "half.toml: " in said
    assert said.count("so no attempt at it is played again") == 2
    assert (desk.folder / "marks.csv").read_text("utf-8").count("\nAna,") == 1


def test_an_exercise_just_opened_shows_its_own_fault(desk):
    assert desk.panel.fault == str(load_exercise(desk.path).variant(0).circuit.faults[0])


def test_what_needs_an_exercise_says_that_a_circuit_is_none(desk):
    desk.file.value = "circuits/galley-lamp.toml"
    desk._on_file("key", "--short")()
    assert "is a circuit, with nothing wrong in it" in " ".join(desk.printed.value.split())


def test_names_of_a_class_are_there_again_another_day(desk):
    desk.of_class.names.value = "Ana\nBo"
    desk.of_class.for_class("deal")
    assert desk_in(desk.folder).of_class.names.value.split() == ["Ana", "Bo"]


def test_hunts_are_found_by_what_they_practise(desk):
    for name in ("slow-washdown.toml", "horn-mute.toml"):
        (desk.folder / name).write_bytes((EXERCISES / name).read_bytes())
        circuit = load_exercise(EXERCISES / name).circuit.file.rpartition("/")[2]
        target = desk.folder / "circuits" / circuit
        target.write_bytes((EXERCISES / "circuits" / circuit).read_bytes())
    desk.list_files()
    desk.hunts.course = None
    desk.hunts.survey()
    assert len(desk.hunts.found.options) == 3
    desk.hunts.outcome.value = "relay"
    assert [file.name for _, file in desk.hunts.found.options] == ["horn-mute.toml"]
    assert "corroded" in all_outcomes(load_exercise(desk.folder / "slow-washdown.toml"))


def test_a_hunt_of_the_course_is_found_and_copied_and_never_over_ones_own(desk):
    desk.hunts.survey()
    desk.hunts.outcome.value = "welded contact"
    words, chosen = next(
        row for row in desk.hunts.found.options if row[1].stem == "windlass-will-not-stop"
    )
    assert words.endswith("(welded contact)")
    desk.hunts.found.value = chosen
    desk.hunts.take()
    assert desk.path == desk.folder / "windlass-will-not-stop.toml"
    assert desk.findings == []
    desk.path.write_text(desk.path.read_text("utf-8") + "# mine\n", encoding="utf-8")
    desk.hunts.take()
    assert desk.path.read_text("utf-8").endswith("# mine\n")


def test_every_kind_of_part_has_a_page():
    for name, kind in KINDS.items():
        page = kind_page(name)
        assert "Fails by:" in page
        assert all(mode in page for mode in kind.modes)


def test_what_a_command_refuses_is_printed_too():
    assert "no such file" in printed(["check", "nowhere.toml"])


def test_the_desk_is_a_widget_that_a_page_can_be_told_of(desk):
    assert type(desk).open is Widget.open
    assert type(desk.panel).open is Widget.open
