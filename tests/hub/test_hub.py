"""Three learners at a real hub, each in their own kernel; what is killed costs nobody anything."""

import os
import signal
import time

import pytest
import requests

from labkit.classroom.enter import COURSE
from labkit.desk.marks import replayed
from labkit.exercises.exercise import load_exercise
from labkit.record import read_folder
from tests.hub.hunting import CELL, EXERCISE, NOTEBOOK, WHO, acts, finish, look
from tests.hub.learner import Learner
from tests.hub.school import PATIENCE, school

NAMES = ("ana", "bo", "cy")


@pytest.fixture(scope="module")
def hub(tmp_path_factory):
    with school(tmp_path_factory.mktemp("hub"), *NAMES) as opened:
        yield opened


def begin(hub, name):
    learner = Learner(hub.plan.url, name, hub.folders.password)
    learner.start()
    learner.open(NOTEBOOK)
    learner.run(CELL)
    return learner


def killed(learner, which):
    """Kill the learner's kernel (0) or server (1), and wait until it is gone."""
    pid = int(learner.run(WHO).split()[which])
    os.kill(pid, signal.SIGKILL)
    learner.close()


def test_three_learners_finish_their_hunts_though_a_kernel_and_a_server_are_killed(hub):
    class_ = {name: begin(hub, name) for name in NAMES}
    assert len({learner.state["title"] for learner in class_.values()}) == 1
    for learner in class_.values():
        look(learner)
    before = {name: acts(learner) for name, learner in class_.items()}
    assert min(before.values()) == 2

    ana, bo, cy = class_.values()
    killed(ana, 0)
    ana.open(NOTEBOOK)  # the server starts it anew
    ana.run(CELL)
    killed(bo, 1)
    end = time.monotonic() + PATIENCE
    while bo.up and time.monotonic() < end:
        time.sleep(0.5)
    bo.start()
    bo.open(NOTEBOOK)
    bo.run(CELL)
    assert {name: acts(learner) for name, learner in class_.items()} == before

    for learner in class_.values():
        finish(learner)
        assert learner.state["naming"]["proven"], learner.state["naming"]["said"]
        learner.close()
    home = hub.folders.homes / "cy" / COURSE
    assert (home / NOTEBOOK).is_file()
    assert not list(home.rglob("*instructor*"))

    records, problems = read_folder(hub.folders.records)
    assert problems == []
    assert sorted(record.path.parent.name for record in records) == [*NAMES]
    exercise = load_exercise(EXERCISE)
    marks, doubts = replayed(records, {exercise.title: exercise})
    assert doubts == []
    assert {mark.learner for mark in marks if mark.proven and mark.right and mark.played} == {
        *NAMES
    }
    assert cy.ask("GET", f"/user/cy/api/contents/{NOTEBOOK}").status_code == 200


def test_who_is_not_in_the_class_or_has_another_password_stays_outside(hub):
    assert not Learner(hub.plan.url, "eve", hub.folders.password).came_in
    assert not Learner(hub.plan.url, "ana", "wrong password").came_in
    ana = Learner(hub.plan.url, "ana", hub.folders.password)
    with pytest.raises(requests.HTTPError, match="404"):
        ana.ask("GET", "/hub/api/users/bo")
    with pytest.raises(requests.HTTPError, match="403"):
        ana.ask("GET", "/user/bo/api/contents")
