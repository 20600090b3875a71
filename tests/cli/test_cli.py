import io
import json
import re
import shutil
import subprocess
import sys
from contextlib import chdir, redirect_stderr, redirect_stdout
from unittest.mock import patch

import pytest
from typer.testing import CliRunner

from labkit.cli.main import app, main
from labkit.measuring.meter import read
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES, ROOT, shipped

WASHDOWN = str(EXERCISES / "circuits" / "washdown.toml")


def run(*args):
    """A command as a person gives it: output, errors and exit status."""
    out, err, status = io.StringIO(), io.StringIO(), 0
    with (
        redirect_stdout(out),
        redirect_stderr(err),
        chdir(ROOT),
        patch("sys.argv", ["labkit", *args]),
    ):
        try:
            main()
        except SystemExit as ended:
            status = ended.code or 0
    return out.getvalue(), err.getvalue(), status


def test_solve_prints_the_promised_json():
    out, _, status = run(
        "solve", WASHDOWN, "--set", "S2=on", "--fault", "X1 resistance 0.8 ohm", "--json"
    )
    data = json.loads(out)
    point = solve(shipped("washdown").with_position(S2="on").with_fault("X1 resistance 0.8 ohm"))
    assert status == 0
    assert set(data) >= {"volts", "amps", "speeds", "states", "floating"}
    assert data["volts"] == dict(point.volts)
    assert data["amps"] == dict(point.amps)
    assert data["watts"] == dict(point.watts)
    assert data["speeds"].keys() == {"M1"}
    assert data["states"]["F1"] == "intact"


def test_solve_writes_the_circuit_for_a_spice_engine_which_finds_the_same(tmp_path):
    faulty = ("solve", WASHDOWN, "--set", "S2=on", "--fault", "X1 resistance 0.8 ohm")
    (tmp_path / "boat.cir").write_text(run(*faulty, "--netlist")[0], encoding="utf-8")
    told = subprocess.run(
        ["ngspice", "-b", "boat.cir"], cwd=tmp_path, capture_output=True, text=True, check=False
    ).stdout
    point = solve(shipped("washdown").with_position(S2="on").with_fault("X1 resistance 0.8 ohm"))
    found = re.findall(r"^\t([a-z]\d)_(\d)\s+(\S+)$", told, re.MULTILINE)
    assert len(found) > 5, told
    for id, terminal, volts in found:
        assert abs(point.volts[f"{id.upper()}:{terminal}"] - float(volts)) < 1e-4


def test_solve_takes_a_connection_apart_and_says_what_floats():
    out, _, _ = run("solve", WASHDOWN, "--part", "F1:1", "--part", "X3:2", "--json")
    data = json.loads(out)
    assert data["volts"]["X1:1"] is None
    assert "F1:1" in data["floating"]


def test_an_exercise_is_solved_healthy_unless_a_fault_is_given():
    exercise = str(EXERCISES / "slow-washdown.toml")
    healthy = json.loads(run("solve", exercise, "--set", "S2=on", "--json")[0])
    assert healthy["speeds"]["M1"] > 0.95


def test_read_prints_the_promised_json():
    out, _, status = run(
        "read", WASHDOWN, "--red", "X1:1", "--black", "X1:2", "--set", "S2=on", "--json"
    )
    data = json.loads(out)
    reading = read(shipped("washdown").with_position(S2="on"), "X1:1", "X1:2")
    assert status == 0
    assert set(data) == {"display", "value", "unit", "low", "high", "hazards"}
    assert data["display"] == reading.display
    assert data["value"] == reading.value


def test_an_over_range_reading_has_no_value_in_json():
    data = json.loads(
        run("read", WASHDOWN, "--red", "M1:1", "--black", "M1:2", "--set", "S2=on",
            "--function", "ohms", "--json")[0]
    )  # fmt: skip  # rows that a reader compares
    assert data["display"] == "OL"
    assert data["value"] is None
    assert data["high"] is None
    assert data["hazards"]


def test_rank_prints_the_promised_json():
    seen = ["--seen", "M1 look turns at about half speed S2=on"]
    out, _, status = run("rank", WASHDOWN, *seen, "--top", "3", "--json")
    rows = json.loads(out)
    assert status == 0
    assert len(rows) == 3
    for row in rows:
        assert set(row) >= {"red", "black", "function", "positions", "bits", "minutes", "tells"}
        assert row["bits"] > 0
        assert row["minutes"] > 0
    rates = [row["bits"] / row["minutes"] for row in rows]
    assert rates == sorted(rates, reverse=True)


def test_rank_refuses_what_cannot_have_been_seen():
    _, err, status = run("rank", WASHDOWN, "--seen", "X1:1 DC- volts many")
    assert status == 1
    assert len(err.strip().splitlines()) == 1


def test_tables_are_for_people():
    out, _, status = run("solve", WASHDOWN, "--set", "S2=on")
    assert status == 0
    assert "Foredeck washdown pump" in out
    assert "101 % of rated speed" in out or "% of rated speed" in out


def test_rank_prints_the_whole_plan_as_a_tree():
    seen = "M1 look turns at about half speed S2=on"
    out, err, status = run("rank", WASHDOWN, "--seen", seen, "--plan")
    assert (status, err) == (0, "")
    assert out.startswith("To be expected: ")
    assert re.search(r"(?m)^[│ ]*[├└]─ .*\(\d+ %\): X1 high resistance$", out)


def test_a_plan_made_without_a_tool_says_so_and_never_asks_for_it():
    seen = "M1 look turns at about half speed S2=on"
    out, _, status = run("rank", WASHDOWN, "--seen", seen, "--plan", "--without", "clamp")
    tree, _, said = out.partition("Planned without")
    assert (status, said) == (0, ": clamp.\n")
    assert "clamp" not in tree


def test_a_plan_has_no_json():
    _, err, status = run("rank", WASHDOWN, "--plan", "--json")
    assert (status, err.strip()) == (
        1,
        "--plan prints a tree and --json prints data; leave one of them out",
    )


def test_check_gives_a_line_for_each_file(tmp_path):
    files = ("washdown-dead.toml", "horn-mute.toml", "circuits/washdown.toml", "circuits/horn.toml")
    for file in files:  # every exercise is held to its checks in tests/exercises
        (tmp_path / file).parent.mkdir(exist_ok=True)
        shutil.copy(EXERCISES / file, tmp_path / file)
    out, err, status = run("check", str(tmp_path))
    assert status == 0
    assert not err
    assert len(out.strip().splitlines()) == len(files)


def test_check_names_every_fault_file_first(tmp_path):
    bad = tmp_path / "bad.toml"
    bad.write_text(
        'title = "x"\nsistem = "12 V"\n[[run]]\nfrom = "DC-"\nto = "a"\n'
        'parts = [ { id = "X1", is = "jiont" } ]\n'
    )
    _, err, status = run("check", str(bad))
    assert status == 1
    lines = err.strip().splitlines()
    assert len(lines) >= 2
    assert all(line.startswith(str(bad)) for line in lines)
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["solve", "nowhere.toml"], "no such file"),
        (["solve", WASHDOWN, "--fault", "X1 rust"], "cannot be 'rust'"),
        (["solve", WASHDOWN, "--set", "S2"], 'such as "S2=on"'),
        (["solve", WASHDOWN, "--set", "S2=up"], "no position 'up'"),
        (["solve", WASHDOWN, "--part", "X1"], "no terminal or node 'X1'"),
        (["read", WASHDOWN, "--red", "X1:7"], "no terminal or node 'X1:7'"),
        (["read", WASHDOWN, "--red", "X1:1", "--function", "smell"], "no meter function 'smell'"),
        (["check", "nowhere"], "no such file"),
    ],
)
def test_a_mistake_is_one_sentence_and_exit_status_one(args, says):
    _, err, status = run(*args)
    assert status == 1
    assert says in err
    assert len(err.strip().splitlines()) == 1
    assert "Traceback" not in err


def test_every_command_has_an_example_in_its_help():
    from typer.main import get_command

    for name, command in get_command(app).commands.items():
        assert "Example: labkit" in command.help, name


def test_draw_writes_a_file_and_does_not_overwrite(tmp_path):
    to = tmp_path / "a.svg"
    assert run("draw", WASHDOWN, str(to))[2] == 0
    assert to.read_text(encoding="utf-8").startswith("<svg")
    _, err, status = run("draw", WASHDOWN, str(to))
    assert status == 1
    assert "--overwrite" in err
    assert run("draw", WASHDOWN, str(to), "--overwrite")[2] == 0


def test_open_outside_the_project_says_where_to_run_it(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "labkit.cli.main", "open"],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        check=False,
    )
    assert done.returncode == 1
    assert "labkit open my-course" in done.stderr


def test_errors_are_one_kind_of_exception():
    assert issubclass(CircuitError, ValueError)


@pytest.mark.parametrize("command", ["solve", "check", "new", "key", "sheet", "draw"])
def test_a_name_no_disk_takes_is_refused_in_a_sentence(command, monkeypatch, capsys, tmp_path):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.argv", ["labkit", command, "x" * 300 + ".toml"])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 1
    said = capsys.readouterr().err
    assert "name too long" in said
    assert "Traceback" not in said


def test_words_that_are_no_text_are_refused_in_a_sentence(monkeypatch, capsys):
    monkeypatch.setattr("sys.argv", ["labkit", "key", "exercise.toml", "--seed", "\udcff"])
    with pytest.raises(SystemExit):
        main()
    assert "is not text; write it in UTF-8" in capsys.readouterr().err


COMMANDS = CliRunner()


def test_the_list_of_commands_says_what_each_does_to_the_end():
    listed = COMMANDS.invoke(app, ["--help"]).output
    assert listed.count("\n  ") > 12
    assert "..." not in listed.split("Commands:")[1]


@pytest.mark.parametrize(
    "line",
    ["open", "solve", "rank", "check", "draw", "deal", "class", "page", "kinds", "job page"],
)
def test_help_names_what_to_write_and_not_how_it_is_stored(line):
    said = COMMANDS.invoke(app, [*line.split(), "--help"]).output
    assert f"Usage: root {line} [OPTIONS]" in said
    assert not re.search(r"[<>{}]|\[\[|\bx[<>]=", said), said
