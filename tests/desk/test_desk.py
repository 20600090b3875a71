"""The instructor's desk: starters that are fit to use, keys that say what the circuit does."""

import json
import os
import time
import tomllib
from dataclasses import replace

import jsonschema
import pytest
from scipy.stats import spearmanr

from labkit.desk.findings import settled
from labkit.desk.key import key_of
from labkit.desk.marks import mark, recurring, replayed
from labkit.desk.path import _end, best_path
from labkit.desk.schema import file_schema
from labkit.desk.starter import start, templates
from labkit.desk.suspected import called, suspected
from labkit.diagnosis.faults import said as called_by_learners
from labkit.diagnosis.search import Search
from labkit.exercises.checking import check_file
from labkit.exercises.dealing import deal_hands, file_word, learners, read_hand
from labkit.exercises.difficulty import difficulty, difficulty_of
from labkit.exercises.exercise import load_exercise
from labkit.exercises.situations import lead_to, situations
from labkit.hunts.kept import KeptHunt
from labkit.measuring.meter import read
from labkit.record import begin, read_folder
from labkit.text.messages import CircuitError
from tests.boats import CIRCUITS, EXERCISES, share
from tests.key_paths import SAMPLE, isolates

FILES = sorted(EXERCISES.glob("*.toml"))


def exercise(name):
    return load_exercise(EXERCISES / f"{name}.toml")


# -- starters -------------------------------------------------------------------------------


@pytest.mark.parametrize("circuit", ["", *templates()])
def test_a_starter_on_a_template_is_fit_to_be_used_as_it_stands(tmp_path, circuit):
    file = tmp_path / "mine.toml"
    written = start(file, circuit)
    assert written == [tmp_path / "circuits" / "mine.toml", file]
    assert check_file(file)[1] == []
    assert check_file(written[0])[1] == []


@pytest.mark.parametrize("circuit", share(CIRCUITS, 5), ids=lambda c: c.stem)
def test_a_starter_on_any_shipped_circuit_is_fit_to_be_used(tmp_path, circuit):
    file = tmp_path / "mine.toml"
    start(file, str(circuit))
    assert load_exercise(file).variants
    if circuit in share(CIRCUITS, 12):  # a whole check weighs every suspect
        assert check_file(file)[1] == []
    assert (tmp_path / "circuits" / circuit.name).read_bytes() == circuit.read_bytes()


def test_what_a_starter_says_is_seen_is_what_is_seen(tmp_path):
    start(tmp_path / "mine.toml", "pump")
    made = load_exercise(tmp_path / "mine.toml")
    assert made.seen == ("With everything switched on, M1 (pump) turns noticeably slowly.",)


def test_a_circuit_below_the_exercise_is_named_and_not_copied(tmp_path):
    mine = tmp_path / "boats" / "mine.toml"
    mine.parent.mkdir()
    mine.write_text(templates()["lamp"], encoding="utf-8")
    written = start(tmp_path / "dark.toml", str(mine))
    assert written == [tmp_path / "dark.toml"]
    assert 'circuit   = "boats/mine.toml"' in written[0].read_text(encoding="utf-8")


def test_nothing_is_replaced_unasked(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text("precious")
    with pytest.raises(CircuitError, match=r"mine\.toml: is already there; name another file"):
        start(file, "lamp")
    assert [p.name for p in tmp_path.rglob("*")] == ["mine.toml"]
    assert file.read_text() == "precious"
    start(file, "lamp", overwrite=True)
    assert check_file(file)[1] == []


@pytest.mark.parametrize(
    ("file", "circuit", "said"),
    [
        ("mine.txt", "", "mine.txt: an exercise is a TOML file; name it mine.toml"),
        ("mine.toml", "lmap", "--circuit lmap: no template and no file of this name; did you"),
        ("mine.toml", "no.toml", "no.toml: no such file or directory"),
    ],
)
def test_a_starter_that_cannot_be_written_is_refused_in_a_sentence(tmp_path, file, circuit, said):
    with pytest.raises(CircuitError) as refused:
        start(tmp_path / file, circuit)
    assert said in str(refused.value)
    assert list(tmp_path.iterdir()) == []


def test_a_circuit_with_nothing_to_practise_on_is_refused(tmp_path):
    bare = tmp_path / "bare.toml"
    bare.write_text(
        'title = "bare"\n[[run]]\nfrom = "DC-"\nto = "stud"\n'
        'parts = [ { id = "G1", is = "battery", emf = "12.7 V" } ]\n'
        '[[run]]\nfrom = "stud"\nto = "DC-"\n'
        'parts = [ { id = "R1", is = "resistor", resistance = "10 ohm" } ]\n'
    )
    with pytest.raises(CircuitError, match="nothing here makes an exercise; it needs a load"):
        start(tmp_path / "mine.toml", str(bare))


# -- keys -----------------------------------------------------------------------------------


def test_the_corroded_splice_tells_under_load_and_not_with_the_load_taken_off():
    key = key_of(exercise("slow-washdown"), exercise("slow-washdown").variant(0))
    names = [place.name for place in key.situations]
    assert names == ["as found", "M1:1 taken off", "M1 on"]
    behind = next(point for point in key.points if "X1:2" in point.terminals)
    assert [c.tells for c in behind.readings] == [False, False, True]
    assert key.telling[0].sound.red, key.telling[0].sound.black == ("X1:1", "X1:2")
    assert (key.before.ok, key.after.ok) == (False, True)


@pytest.mark.parametrize("name", ["slow-washdown", "horn-hoarse", "windlass-silent"])
def test_every_reading_of_a_key_is_what_the_meter_shows_there(name):
    made = exercise(name)
    key = key_of(made, made.variant(0))
    for point in key.points:
        for compared in point.readings:
            place, red = compared.situation, compared.sound.red
            sound = read(place.of(made.circuit), red)
            faulty = read(place.of(settled(made.variant(0).circuit)), red)
            assert (compared.sound.display, compared.found.display) == (
                sound.display,
                faulty.display,
            )
            if compared.tells:  # never by less than the meter can tell
                assert sound.high < faulty.low or faulty.high < sound.low


@pytest.mark.parametrize("file", share(FILES, 3), ids=lambda f: f.stem)
def test_the_last_variant_has_something_that_tells_and_a_proof_that_turns(file):
    made = load_exercise(file)  # of each variant the check sees that it shows and fails its proof
    key = key_of(made, made.variant(len(made.variants) - 1))
    measured = any(c.tells for point in key.points for c in point.readings) or key.telling
    assert measured or any("sound, it" in shown for shown in key.symptoms)
    assert not key.before.ok
    assert key.after.ok


def test_half_a_repair_is_shown_not_to_be_proven():
    key = key_of(exercise("horn-hoarse"), exercise("horn-hoarse").variant(0))
    assert [id for id, _ in key.halves] == ["X1", "X2"]
    assert not any(proven.ok for _, proven in key.halves)


def test_a_wrong_answer_names_a_reading_that_speaks_against_it():
    key = key_of(exercise("slow-washdown"), exercise("slow-washdown").variant(0))
    pump = next(text for text in key.wrong_answers if text.startswith("M1 "))
    found = settled(key.dealt.circuit).with_position(S2="on")
    assert pump.endswith(f"it reads {read(found, 'M1:1', 'M1:2').display}.")
    assert not any(text.startswith("X1 ") for text in key.wrong_answers)


def test_an_intermittent_fault_has_a_situation_in_which_it_is_shaken():
    made = exercise("steaming-light-blinks")
    key = key_of(made, made.variant(0))
    assert key.situations[-1].name == "X2 shaken"
    assert all(not c.tells for point in key.points for c in point.readings[:-1])
    assert any(point.readings[-1].tells for point in key.points)


def test_a_source_is_taken_off_at_its_plus():
    made = exercise("house-never-full")
    assert lead_to(made.circuit, "G1") == "G1:+"
    assert [place.name for place in situations(made)] == ["G1:+ taken off", "G1 on"]


@pytest.mark.parametrize(("name", "number"), SAMPLE)
def test_the_best_path_ends_at_what_was_dealt(name, number):
    made = exercise(name)
    dealt = made.variant(number)
    path = best_path(made, dealt)
    assert isolates(path)
    for fault in dealt.causes:
        assert called_by_learners(f"{fault.part} {fault.mode}") in path[-1]


def test_a_path_begins_with_what_is_seen_and_says_what_each_step_leaves():
    made = exercise("slow-washdown")
    path = best_path(made, made.variant(0))
    assert path[0].startswith("As found: M1 stands still. Leaves ")
    assert path[-2].endswith("Leaves X1 high resistance.")
    assert path[-1].endswith("it ends at X1 high resistance.")


def test_a_path_that_ends_elsewhere_or_on_several_says_so():
    dealt = exercise("washdown-dead").variant(1)
    assert dealt.faults == ("X3 open",)
    end = _end(Search(named=["X1 open"], complete=True), dealt)
    assert "which is not what is wrong" in end
    assert not isolates((end,))
    for complete, ending in (
        (True, "X3 open and W9 open, which no measurement in reach tells apart."),
        (False, "X3 open and W9 open; nothing in reach tells them apart for certain."),
    ):
        end = _end(Search(named=["X3 open", "W9 open"], complete=complete), dealt)
        assert end.endswith(ending)
        assert isolates((end,))


# -- what is suspected ----------------------------------------------------------------------


def test_what_would_pass_the_proof_is_not_suspected():
    made = exercise("tired-fan")
    listed = {name for c in suspected(made, made.variant(0)) for name in called(c.faults)}
    assert {"M1 worn brushes", "S3 resistance", "F3 resistance"} <= listed
    assert not any(name.startswith("S4 ") for name in listed)  # the pump's switch: off, and works


def test_of_two_faults_dealt_every_like_pair_is_suspected():
    made = exercise("horn-hoarse")
    pairs = [c for c in suspected(made, made.variant(0)) if len(c.faults) == 2]
    names = [called(pair.faults) for pair in pairs]
    assert frozenset({"X1 resistance", "X2 resistance"}) in names
    assert frozenset({"F2 resistance", "X2 resistance"}) in names
    assert len(set(names)) == len(names) > 20


def test_an_unusual_severity_is_suspected_in_every_variant_where_one_deals_it():
    made = exercise("board-lamp-dark")
    listed = [
        [str(fault) for c in suspected(made, made.variant(n)) for fault in c.faults] for n in (0, 2)
    ]
    for faults in listed:
        assert faults.count("X1 resistance 20 kohm") == faults.count("S2 resistance 20 kohm") == 1
        assert "W1 resistance 20 kohm" not in faults


# -- dealing --------------------------------------------------------------------------------


def test_a_dealt_file_gives_nothing_away_and_deals_what_the_name_is_dealt(tmp_path):
    source = EXERCISES / "horn-mute.toml"
    paths = deal_hands(source, ["Ada", "Bo Derry"], tmp_path / "dealt")
    assert [path.name for path in paths] == ["horn-mute-ada.toml", "horn-mute-bo-derry.toml"]
    for path, name in zip(paths, ["Ada", "Bo Derry"], strict=True):
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        assert table.keys() == {"exercise", "learner"}
        hand = read_hand(path)
        assert hand.dealt.faults == load_exercise(source).deal(name).faults
        text = path.read_text(encoding="utf-8")
        assert not any(fault in text for fault in hand.dealt.faults)
        assert check_file(path) == (f"{path}: {hand.exercise.title}: dealt to {name}", [], [])


def test_a_class_is_not_dealt_one_variant_alone():
    made = exercise("horn-mute")
    assert {made.deal(f"learner {n}").faults for n in range(40)} == set(made.variants)


def test_names_come_from_lists_and_from_the_command(tmp_path):
    file = tmp_path / "names.txt"
    file.write_text("Ada\n\n  Bo   Derry \n", encoding="utf-8-sig")
    assert learners([str(file), "Cy"]) == ["Ada", "Bo Derry", "Cy"]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ([], "the class has no names"),
        (["Ada", "ada "], "Ada: is in the class twice"),
        (["x" * 81], "a name has at most 80 letters"),
        (["Ada\x1b[2J"], "a name is written in letters"),
        (["missing.txt"], "missing.txt: no such file or directory"),
    ],
)
def test_a_class_that_cannot_be_dealt_to_is_refused(given, said):
    with pytest.raises(CircuitError, match=said):
        learners(given)


def test_a_class_list_that_is_a_pipe_or_has_no_end_is_refused(tmp_path):
    pipe, endless = tmp_path / "pipe.txt", tmp_path / "endless.txt"
    os.mkfifo(pipe)
    endless.symlink_to("/dev/zero")
    for path in (pipe, endless):
        with pytest.raises(CircuitError, match=f"{path.name}: is (a pipe|no plain file)"):
            learners([str(path)])


def test_a_class_list_that_is_far_too_long_is_refused(tmp_path):
    listed = tmp_path / "names.txt"
    listed.write_text("Ada\n" * 100_000, encoding="utf-8")
    with pytest.raises(CircuitError, match="is larger than 256 kb"):
        learners([str(listed)])


def test_two_thousand_names_are_told_apart_at_once(tmp_path):
    listed = tmp_path / "names.txt"
    listed.write_text("\n".join(f"learner {n}" for n in range(2000)), encoding="utf-8")
    begun = time.process_time()
    assert len(learners([str(listed)])) == 2000
    assert time.process_time() - begun < 2.0


@pytest.mark.parametrize("name", ["../x", "a/b", "  ", "Åsa", "con", "*"])
def test_no_name_makes_a_file_elsewhere(name):
    assert "/" not in file_word(name)
    assert ".." not in file_word(name)
    assert file_word(name)


def test_a_damaged_dealt_file_is_refused_in_a_sentence(tmp_path):
    path = tmp_path / "hand.toml"
    path.write_text('learner = "Ada"\nexercise = 3\n')
    with pytest.raises(CircuitError, match=r"hand.toml: exercise: found 3; write text in quotes"):
        read_hand(path)


# -- marks ----------------------------------------------------------------------------------


@pytest.fixture
def attempts(tmp_path):
    made = exercise("slow-washdown")
    for name in ("Ada", "Bo"):
        hunt = KeptHunt(made, name, tmp_path)
        hunt.bench.switch("S2", "on")
        hunt.bench.read("M1:1", "M1:2", "ohms")  # on a live circuit
        hunt.name("M1", "seized")
        if name == "Ada":
            hunt.name("X1", "high resistance")
            hunt.bench.repair("X1")
            hunt.prove()
        hunt.own("sign", held=True)
        hunt.attempt.close()
    return tmp_path


def test_answers_are_counted_with_the_ideas_behind_them(tmp_path):
    lesson = begin("the meter", "Ada", tmp_path)
    for right, idea in ((False, "sign"), (True, "")):
        lesson.add("answer", ask="?", said=["12 V"], right=right, misconception=idea)
    lesson.close()
    (ada,) = (mark(record) for record in read_folder(tmp_path)[0])
    assert (ada.answered, ada.correct, ada.misconceptions) == (2, 1, ("sign",))


def test_an_answer_written_into_a_hunt_is_no_part_of_it(attempts):
    made = exercise("slow-washdown")
    record = read_folder(attempts)[0][0]
    asked = {"kind": "answer", "ask": "?", "said": ["12 V"], "right": True, "misconception": ""}
    forged = replace(record, lines=(*record.lines, asked))
    (ada,), doubts = replayed([forged], {made.title: made})
    assert "a hunt asks no questions" in doubts[0]
    assert (ada.played, ada.answered) == (False, 0)


def test_marks_say_what_was_named_what_it_took_and_what_was_dangerous(attempts):
    ada, bo = (mark(record) for record in read_folder(attempts)[0])
    assert (ada.learner, ada.right, ada.wrong) == ("Ada", ("X1 high resistance",), ("M1 seized",))
    assert (ada.proven, bo.proven) == (True, False)
    assert (bo.right, bo.wrong) == ((), ("M1 seized",))
    assert ada.readings == 1
    assert ada.hazards == ("ohms live", "worked live")
    assert ada.minutes > bo.minutes > 0
    assert ada.misconceptions == ("blames the load", "sign")


def test_errors_that_recur_are_counted_by_learner(attempts):
    marks = [mark(record) for record in read_folder(attempts)[0]]
    again = recurring([*marks, *marks])  # the same learners twice are still two
    assert again["misconceptions"] == [("blames the load", 2), ("sign", 2)]
    assert again["hazards"] == [("ohms live", 2)]
    assert again["named wrongly"] == [("The washdown pump that only dribbles: M1 seized", 2)]
    assert recurring(marks[:1])["hazards"] == []


def test_attempts_are_played_again_and_doubts_are_named(attempts):
    made = exercise("slow-washdown")
    records, _ = read_folder(attempts)
    marks, doubts = replayed(records, {made.title: made})
    assert doubts == []
    assert [one.played for one in marks] == [True, True]
    other = exercise("horn-mute")
    marks, doubts = replayed(records, {made.title: other})  # as if the exercise were another by now
    assert len(doubts) == 2
    assert [one.played for one in marks] == [False, False]
    assert len(replayed(records, {})[1]) == 2


# -- schema ---------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def schema():
    made = file_schema()
    jsonschema.Draft7Validator.check_schema(made)
    return jsonschema.Draft7Validator(made)


@pytest.mark.parametrize("file", [*FILES, *CIRCUITS], ids=lambda f: f.stem)
def test_every_shipped_file_keeps_the_schema(schema, file):
    assert list(schema.iter_errors(tomllib.loads(file.read_text(encoding="utf-8")))) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('emf = "12.7 V"', "emf = 12.7"),
        ('is = "battery"', 'is = "batery"'),
        ('id = "F1"', 'id = "X1"'),
        ('rating = "50 A"', 'ratting = "50 A"'),
        ('title  = "Cabin lamp"', ""),
    ],
)
def test_the_schema_refuses_what_labkit_refuses(schema, tmp_path, old, new):
    text = templates()["lamp"]
    assert old in text
    changed = text.replace(old, new, 1)
    (tmp_path / "changed.toml").write_text(changed, encoding="utf-8")
    assert check_file(tmp_path / "changed.toml")[1] != []
    assert list(schema.iter_errors(tomllib.loads(changed))) != []
    assert list(schema.iter_errors(tomllib.loads(text))) == []


def test_the_schema_is_json_without_nulls(schema):
    assert "null" not in json.dumps(schema.schema)


# -- difficulty -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "number", "surprises"),
    [
        ("chart-lamp-dark", 1, ()),  # an open switch on the way
        ("slow-washdown", 0, ("not found without load",)),
        ("washdown-dead", 1, ("not found without load",)),  # the return is open
        ("wheelhouse-fan", 0, ("not found without load", "other loads are off too")),
        ("windlass-silent", 0, ("not found without load", "not on the load's way")),
        ("bilge-fuse-again", 0, ("not found without load", "not on the load's way")),  # a victim
        ("horn-hoarse", 0, ("not found without load", "two at once")),
        ("bilge-not-automatic", 1,
         ("not found without load", "not on the load's way", "not drawn")),
        ("steaming-light-blinks", 0,
         ("not found without load", "not on the load's way", "comes and goes")),
    ],
)  # fmt: skip  # rows that a reader compares
def test_what_a_plain_search_misses_makes_it_harder(name, number, surprises):
    made = exercise(name)
    found = difficulty_of(made, made.variant(number))
    assert found.surprises == surprises
    assert found.readings == pytest.approx((1 + found.bits) * 1.5 ** len(surprises))


def test_an_exercise_is_as_hard_as_its_hardest_variant():
    made = exercise("bilge-not-automatic")
    drawn, hidden = (difficulty_of(made, made.variant(n)) for n in (0, 1))
    assert hidden.level > drawn.level
    assert difficulty(made) == hidden


def test_fewer_suspects_after_a_look_make_it_easier():
    made = exercise("bilge-never-stops")
    found = difficulty(made)  # it runs with the float down: what else could that be?
    assert found.suspects == 1
    assert found.level == 1


def test_difficulty_goes_with_the_order_a_practised_person_gives():
    text = (EXERCISES / "README.md").read_text(encoding="utf-8")
    rows = [line.split("|")[1].strip() for line in text.splitlines() if line.startswith("| ")]
    names = [name for name in rows if (EXERCISES / f"{name}.toml").exists()]
    found = [difficulty(exercise(name)) for name in names]
    assert len(names) >= 25
    assert spearmanr(range(len(names)), [d.readings for d in found]).statistic > 0.5
    assert len({d.level for d in found}) == 5
