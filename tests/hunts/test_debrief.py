from itertools import pairwise, takewhile
from shutil import copytree

import pytest

from labkit.aboard.bench import Bench
from labkit.diagnosis import Left
from labkit.diagnosis.logbook import evidence_of
from labkit.exercises.exercise import load_exercise
from labkit.hunts.debrief import debrief
from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import KeptHunt, play
from labkit.questions.naming import LATER, TOO_MANY
from labkit.record import read_record
from tests.boats import EXERCISES, mend, pump
from tests.walks import best, restore, suspects_in, take


def practised(lines):
    """What there is to practise, the most pressing first."""
    return [line for line in lines if line.startswith(("Practise next: ", "Then: "))]


def slow_pump():
    return Hunt(load_exercise(EXERCISES / "slow-washdown.toml"))


def test_a_log_becomes_evidence_in_the_state_it_was_taken_in():
    bench = Bench(pump().with_fault("X1 resistance 2 ohm"))
    bench.look("M1")
    bench.switch("S1", "off")
    bench.part("X1:1")
    bench.read("X1:1", "X1:2", "ohms")
    look, ohms = evidence_of(bench.log, pump())
    assert (look.function, look.red, look.seen) == ("look", "M1", bench.log[0].shows)
    assert not look.positions
    assert ohms.positions == {"S1": "off"}
    assert ohms.parted == {"X1:1"}
    assert ohms.seen == bench.log[-1].shows


def test_a_switch_moved_back_is_as_found():
    bench = Bench(pump())
    bench.switch("S1", "off")
    bench.switch("S1", "on")
    bench.read("X1:2")
    assert not evidence_of(bench.log, pump())[0].positions


def test_after_a_repair_it_is_another_boat():
    bench = Bench(pump().with_fault("X1 resistance 2 ohm"))
    bench.read("X1:2")
    bench.repair("X1")
    bench.read("X1:2")
    assert len(evidence_of(bench.log, pump())) == 1


def test_what_was_a_hazard_is_no_reading():
    bench = Bench(pump())
    bench.read("M1:1", "M1:2", "ohms")
    bench.read("stud", "DC-", "amps")
    assert not evidence_of(bench.log, pump())


def test_a_fuse_pulled_and_fitted_tells():
    bench = Bench(pump().with_fault("M1 short 0.05 ohm"))
    bench.pull("F1")
    bench.test_lamp("F1:1", "F1:2")
    bench.lift("test lamp")
    bench.fit("F1")
    evidence = evidence_of(bench.log, pump())
    assert [e.seen for e in evidence] == ["blown", "is bright", "opens again"]
    assert [set(e.parted) for e in evidence] == [set(), {"F1:1"}, set()]
    assert evidence[1].red == "stud"  # where the fuse was, the lamp is now


def measured():
    """A hunt with a reading that tells nothing, a danger, and one that tells all."""
    hunt = slow_pump()
    hunt.bench.read("panel")
    hunt.bench.read("panel")
    hunt.bench.switch("S2", "on")
    hunt.bench.look("M1")
    hunt.bench.read("M1:1", "M1:2", "ohms")
    hunt.bench.read("X1:1", "X1:2")
    hunt.name("X1", "high resistance")
    mend(hunt.bench, "X1")
    hunt.prove()
    return hunt


def test_telling_readings_bear_the_answer_out():
    made = debrief(measured())
    assert made.review.bits > 1
    assert made.review.remaining[0] == "X1 resistance"
    assert any("Known: 'X1 high resistance' is the one explanation" in line for line in made.lines)


def test_a_row_for_each_step_says_what_it_left_and_what_it_took():
    hunt = measured()
    rows = debrief(hunt).rows
    assert [row.shows for row in rows] == [
        e.shows for e in hunt.bench.log if e.action in ("read", "look")
    ]
    assert all(after.before == row.left for row, after in pairwise(rows))
    assert rows[-1].left == 1
    log = hunt.bench.log
    spent = [e.minutes for e in takewhile(lambda entry: entry.action != "isolate", log)]
    assert sum(row.minutes for row in rows) == pytest.approx(sum(spent))
    assert rows[1].told == "nothing"
    assert rows[1].remark.startswith("better: ")
    assert rows[-1].remark == "told most"


def test_what_was_a_danger_and_no_reading_is_in_the_table_and_strikes_out_nothing():
    made = debrief(measured())
    row = next(row for row in made.rows if "ohms" in row.did)
    assert (row.before, row.bits) == (row.left, 0.0)
    assert row.remark == "dangerous, and no reading"
    assert (
        "Made safe before hands went in (mend X1): isolated, tagged, proved dead. "
        "Hazards: ohms on a live circuit." in made.lines
    )


def test_the_advised_path_ends_at_the_fault_and_is_drawn_beside_the_path_taken():
    made = debrief(measured())
    assert made.advised[-1].left == 1
    assert made.chart.alt.count("at 0.0 min") == 2
    assert "your path" in made.chart.alt
    assert "advised" in made.chart.alt
    assert made.chart.png.startswith(b"\x89PNG")


def test_it_reads_as_text_and_as_a_page_without_a_word_of_bits():
    made = debrief(measured())
    text, page = str(made), made.html
    for said in (text, page):
        assert "told most" in said
        assert "Practise next" in said
        assert " bit" not in said
    assert max(map(len, text.splitlines()[:8])) <= 96
    assert "\x1b" not in text  # no colour, whoever prints it
    assert '<th scope="col"' in page
    assert 'alt="Suspects left' in page


def test_an_instructor_sees_the_same_from_a_kept_record(tmp_path):
    exercise = slow_pump().exercise
    kept = KeptHunt(exercise, "Ada", tmp_path)
    for entry in measured().bench.log[:-1]:
        kept.bench.act(entry.action, **entry.args)
    kept.name("X1", "high resistance")
    kept.bench.repair("X1")
    kept.prove()
    again = Hunt(exercise, "Ada")
    play(again, read_record(kept.attempt.path))
    assert str(debrief(again)) == str(debrief(kept))


def test_a_lucky_guess_is_called_one():
    hunt = slow_pump()
    hunt.bench.switch("S2", "on")
    hunt.bench.look("M1")
    verdict = hunt.name("X1", "high resistance")
    assert verdict.right
    assert hunt.named[0].proved is False
    made = debrief(hunt)
    assert any("Lucky, so far: 'X1 high resistance' is not the only" in line for line in made.lines)
    assert any("tells your favourite from the next likeliest" in line for line in made.lines)


def test_who_measured_nothing_is_told_so():
    hunt = slow_pump()
    hunt.name("M1", "seized")
    made = debrief(hunt)
    assert made.rows == ()
    assert "Nothing was looked at or measured." in made.lines
    assert "Named wrongly on the way: M1 seized. Not named: X1 high resistance." in made.lines
    assert made.chart.alt.count("at 0.0 min") == 1


def test_readings_that_tell_nothing_are_what_to_practise():
    hunt = slow_pump()
    for red in ("F1:1", "F1:1", "F1:1", "F1:1"):
        hunt.bench.read(red)
    assert any(
        "4 of your 4 readings of volts were taken where no current" in line
        for line in debrief(hunt).lines
    )


@pytest.mark.parametrize("action", ["ohms", "amps"])
def test_dangerous_use_of_the_meter_is_what_to_practise(action):
    hunt = slow_pump()
    hunt.bench.switch("S2", "on")
    hunt.bench.read("panel", "DC-", action)
    assert any("must be dead" in line for line in debrief(hunt).lines)


def test_who_mends_live_is_told_of_it_before_all_else():
    hunt = slow_pump()
    hunt.bench.switch("S2", "on")
    hunt.bench.read("X1:1", "X1:2")
    hunt.name("X1", "high resistance")
    hunt.bench.repair("X1")
    hunt.prove()
    said = debrief(hunt).lines
    line = next(line for line in said if "Not made safe" in line)
    assert "isolate and tag what feeds it; prove it dead" in line
    assert line.endswith("Hazards: work on a live circuit.")
    assert "making a circuit safe before hands" in practised(said)[0]


def chart_lamp(variant=2):
    """Lesson 1's hunt, walked along the wire unless it says otherwise."""
    exercise = load_exercise(EXERCISES / "chart-lamp-dark.toml")
    hunt = Hunt(exercise)
    hunt.dealt = exercise.variant(variant)
    hunt.bench = Bench(hunt.dealt.circuit)
    return hunt


def finished(hunt, part, mode):
    hunt.name(part, mode)
    mend(hunt.bench, part)
    hunt.prove()
    return debrief(hunt)


def along_the_wire(hunt):
    for point in ("F1:1", "F1:2", "S1:2", "F2:1", "F2:2", "S2:2", "W2:2", "E1:2"):
        hunt.bench.read(point)
    hunt.bench.read("W3:1", function="clamp")
    return finished(hunt, "W3", "open")


def test_what_stands_but_is_far_less_likely_is_counted_and_said_and_spoils_no_proof():
    hunt = chart_lamp()
    made = along_the_wire(hunt)
    assert made.rows[-1].left == 2
    assert "to 2 in 9 steps" in str(made.lines)
    assert hunt.named[0].proved
    assert hunt.named[0].proof == (
        "Known: 'W3 open' is the one likely explanation the readings allow; also not ruled out, "
        "but far less likely: W3 high resistance."
    )


def test_a_walk_slower_than_the_advised_way_is_told_by_how_much_and_by_which_step():
    made = along_the_wire(chart_lamp())
    last = made.lines[-1]
    assert (len(made.rows), len(made.advised)) == (9, 8)
    assert "You took 1 step and 2 minutes more than the advised way." in last
    assert "Step 1 cost most for what it told: a little, in 4.5 min, where a look at E1" in last
    assert "nothing to mend" not in last


def test_the_advised_way_itself_leaves_nothing_to_mend():
    hunt = chart_lamp()
    for evidence in best(hunt.exercise, hunt.dealt).evidence:
        take(hunt.bench, dict(hunt.exercise.circuit.positions), evidence)
    restore(hunt.bench, dict(hunt.exercise.circuit.positions), frozenset())
    made = finished(hunt, "W3", "open")
    did = [row.did for row in made.rows if "renewed" not in row.did]  # F1, put back
    assert did == [row.did for row in made.advised]
    assert sum(r.minutes for r in made.rows) == pytest.approx(sum(r.minutes for r in made.advised))
    assert made.lines[-1] == "Practise next: the next hunt; this one leaves nothing to mend."


def test_who_proves_nothing_is_not_praised():
    hunt = chart_lamp()
    for evidence in best(hunt.exercise, hunt.dealt).evidence:
        take(hunt.bench, dict(hunt.exercise.circuit.positions), evidence)
    hunt.name("W3", "open")
    assert "prove it under load" in practised(debrief(hunt).lines)[0]


def test_what_was_read_after_the_naming_is_not_held_for_known_before_it():
    hunt = slow_pump()
    hunt.bench.switch("S2", "on")
    hunt.bench.look("M1")
    hunt.name("X1", "high resistance")
    hunt.bench.read("X1:1", "X1:2")
    made = debrief(hunt)
    said = next(line for line in made.lines if "Lucky" in line)
    assert "By step 1, when you named it: Lucky, so far" in said
    assert suspects_in(said, made.review.remaining) <= made.rows[0].left
    assert made.rows[-1].left == 1


def test_what_was_read_after_a_repair_is_not_judged_and_that_is_said():
    hunt = slow_pump()
    hunt.bench.switch("S2", "on")
    hunt.bench.look("M1")
    hunt.bench.repair("M1")
    hunt.bench.read("X1:1", "X1:2")
    verdict = hunt.name("X1", "high resistance")
    assert verdict.right
    assert hunt.named[0].proved is None
    assert LATER in verdict.text
    assert any(LATER in line for line in debrief(hunt).lines)


def test_where_several_parts_are_at_fault_known_or_lucky_is_not_judged_and_that_is_said(
    tmp_path,
):
    story = (EXERCISES / "blower-hot-wire.toml").read_text(encoding="utf-8")
    copytree(EXERCISES / "circuits", tmp_path / "circuits")
    apart = tmp_path / "apart.toml"  # the two are not suspected together
    apart.write_text(story.replace('pairs = "10 %"\n', ""), encoding="utf-8")
    exercise = load_exercise(apart)
    hunt = Hunt(exercise)
    hunt.bench.read("W2:2")
    for part, mode in (("M1", "seized"), ("F2", "wrong size fitted")):
        assert TOO_MANY in hunt.name(part, mode).text
        mend(hunt.bench, part)
    hunt.prove()
    made = debrief(hunt)
    assert made.advised == ()
    assert "no advised way is laid beside yours" in made.lines[1]
    assert str(made.lines).count(TOO_MANY) == 1
    assert "of what is judged here, nothing is left" in made.lines[-1]


def test_of_two_faults_suspected_together_each_is_known_where_every_explanation_has_it():
    left = Left(("X1 open + X2 open", "X1 open + W1 open"), (), ("X1 open + X2 open",))
    assert left.proves("X1 open")
    assert left.verdict("X1 open") == (
        "'X1 open' is in every explanation that the readings leave likely: X1 open with X2 open "
        "and X1 open with W1 open."
    )
    assert not left.proves("X2 open")
    assert left.verdict("X2 open") == (
        "'X2 open' is not in every explanation the readings allow: with it there is X1 open with "
        "X2 open, without it X1 open with W1 open."
    )


def test_one_alike_to_the_answer_is_as_good_as_named():
    hunt = Hunt(load_exercise(EXERCISES / "anchor-light-dead.toml"))
    alike = hunt.dealt.suspects.same_as("E1 blown")
    hunt.dealt = hunt.exercise.variant(4)
    hunt.bench = Bench(hunt.dealt.circuit)
    hunt.name("E1", "blown")
    assert "Not named" not in str(debrief(hunt).lines)
    assert "E1 missing" in alike
    hunt.named.clear()
    hunt.name("E1", "missing")
    assert "Named rightly: E1 missing." in str(debrief(hunt).lines)
    assert "Not named" not in str(debrief(hunt).lines)
