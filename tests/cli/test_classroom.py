"""`labkit class`: what it says before it becomes the hub, and what it refuses."""

import json
import sys

import pytest

from labkit.classroom import plan as planning
from labkit.cli import classroom
from labkit.cli.main import main
from tests.classroom.handing_in import play
from tests.hub.school import three_ports


@pytest.fixture
def run(monkeypatch, tmp_path, capsys):
    """Run the command as nobody special; returns exit code, what it said, what it became."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(planning, "is_root", lambda: False)

    def command(*words):
        became = []
        monkeypatch.setattr(sys, "argv", ["labkit", "class", *words])

        def become(program, argv):
            became.extend(argv)
            raise SystemExit(0)

        monkeypatch.setattr(classroom.os, "execv", become)
        with pytest.raises(SystemExit) as ended:
            main()
        said = capsys.readouterr()
        return ended.value.code, " ".join((said.out + said.err).split()), became

    return command


def test_a_trial_says_where_it_opens_by_which_password_and_what_it_is_not(run, tmp_path):
    port = three_ports()
    code, said, became = run("school", "--class", "ana", "--port", str(port))
    assert code == 0
    assert f"The class opens at http://127.0.0.1:{port} " in said
    password = (tmp_path / "school" / "hub" / "password").read_text().strip()
    assert f"Everybody's password, for a trial: {password}" in said
    assert "All learners share your account" in said
    assert became[-1] == str(tmp_path / "school" / "hub" / "jupyterhub_config.py")


def test_a_configuration_can_be_printed_kept_and_started_from(run, tmp_path):
    code, printed, became = run("school", "--class", "ana", "--class", "bo", "--print-config")
    assert code == 0
    assert "NAMES: list[str] = ['ana', 'bo']" in printed
    assert not became
    kept = tmp_path / "mine.py"
    kept.write_text("c = get_config()\n")
    code, _, became = run("--config", str(kept))
    assert became[-3:] == ["labkit.classroom.serve_hub", "-f", str(kept)]


def test_a_configuration_that_is_not_there_is_said(run):
    code, said, became = run("--config", "none.py")
    assert code == 1
    assert not became
    assert "none.py: no such file; labkit class --print-config prints one" in said


def test_a_class_without_a_folder_or_names_is_told_what_to_write(run):
    assert "such as labkit class school" in run()[1]
    assert "the class has no names" in run("school")[1]


def test_an_attempt_in_somebody_elses_folder_is_named_and_not_taken(monkeypatch, tmp_path, capsys):
    play(tmp_path / "ana", "ana")
    forged = play(tmp_path / "bo", "ana")
    monkeypatch.setattr(sys, "argv", ["labkit", "marks", str(tmp_path), "--by-folder", "--json"])
    with pytest.raises(SystemExit):
        main()
    said = capsys.readouterr()
    assert f"{forged}: was handed in by bo and says it is ana's" in said.err
    assert [row["file"].rsplit("/")[-2] for row in json.loads(said.out)] == ["ana"]
