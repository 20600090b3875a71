"""An exam: the boat is held elsewhere, and the kernel knows no more than a person aboard."""

import copyreg
import io
import json
import pickle
import random
import socket
import threading
import time
import urllib.error
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from types import MappingProxyType

import pytest

from labkit.aboard.bench import Bench
from labkit.desk.marks import exercises_below, replayed
from labkit.desk.rubric import Rubric
from labkit.exercises.class_list import SUFFIX
from labkit.exercises.dealing import deal_hands, enter_class, open_exercise
from labkit.exercises.exercise import load_exercise
from labkit.record import read_folder
from labkit.referee.door import Door
from labkit.referee.held import NOTED, Held, OutOfTurnError
from labkit.referee.remote import RemoteHunt
from labkit.referee.service import HubTokens, OwnTokens, Referee, application, hub_gate
from labkit.text.messages import CircuitError
from labkit.widgets import HuntCard, exam
from tests.boats import EXERCISES

VARIED = "horn-mute"
PLAIN = "slow-washdown"


def _dealt(tmp_path, stem, names):
    """Copy an exercise and deal it in secret."""
    source = EXERCISES / f"{stem}.toml"
    table = load_exercise(source)
    home = tmp_path / "exercises"
    (home / "circuits").mkdir(parents=True, exist_ok=True)
    for file in (source, EXERCISES / "circuits" / table.circuit.file.rpartition("/")[2]):
        (home / file.relative_to(EXERCISES)).write_bytes(file.read_bytes())
    enter_class(home / source.name, names)
    deal_hands(home / source.name, names, tmp_path / "dealt", overwrite=True)
    return tmp_path / "dealt"


@contextmanager
def _serving(folder, port=0):
    """Run a referee in a thread of its own; give its address and its learners' tokens."""
    import asyncio

    from tornado.httpserver import HTTPServer
    from tornado.netutil import bind_sockets

    referee = Referee(folder)
    gate = OwnTokens(folder / "tokens.toml", referee.learners)
    (listening,) = bind_sockets(port, "127.0.0.1")
    loop, ended = asyncio.new_event_loop(), asyncio.Event()

    async def serve():
        server = HTTPServer(application(referee, gate))
        server.add_sockets([listening])
        await ended.wait()
        server.stop()
        await server.close_all_connections()

    thread = threading.Thread(target=lambda: loop.run_until_complete(serve()))
    thread.start()
    tokens = {name: _token(folder, name) for name in referee.learners}
    try:
        yield f"http://127.0.0.1:{listening.getsockname()[1]}", tokens
    finally:
        loop.call_soon_threadsafe(ended.set)
        thread.join()
        loop.close()
        for held in referee._held.values():
            held.hunt.attempt.close()


def _token(folder, name):
    import tomllib

    return tomllib.loads((folder / "tokens.toml").read_text("utf-8"))[name]


def _held(tmp_path, stem, name):
    """A learner's hunt at the referee's, without a network."""
    folder = _dealt(tmp_path, stem, [name])
    (file,) = folder.glob("*.toml")
    return Held(open_exercise(file), name, folder / "records"), folder


class _Wire(Door):
    """A door that leads straight to a hunt held in this process, and keeps what went through."""

    def __init__(self, held):
        super().__init__("http://nowhere", "")
        self.held, self.traffic = held, []

    def __getstate__(self):
        return {}

    def _call(self, method, path, body=None):
        if body is None:
            answer = self.held.opened()
        else:
            answer = self.held.ask(body["n"], body["act"], body["args"])
        self.traffic.append(json.dumps(answer).encode())
        return json.loads(self.traffic[-1])


def _bytes_of(thing):
    """Everything an object holds, as bytes."""
    table = {MappingProxyType: lambda held: (dict, (dict(held),)), **copyreg.dispatch_table}
    out = io.BytesIO()
    pickler = pickle.Pickler(out)
    pickler.dispatch_table = table
    pickler.dump(thing)
    return out.getvalue()


def _variant(tmp_path, stem, number):
    """A hunt held with the variant of that number, dealt to Ada."""
    for attempt in range(40):
        held, _ = _held(tmp_path / f"{number}-{attempt}", stem, "Ada")
        if held.hunt.dealt.number == number:
            return held
    raise AssertionError(f"variant {number} never comes")


# -- what tells two faults apart ------------------------------------------------------------------

_HARMLESS = {
    "horn-mute": [
        ("trace", {"run": "power"}), ("switch", {"id": "S2", "to": "off"}), ("look", {"id": "M1"}),
        ("read", {"red": "G1:+", "black": "DC-", "function": "volts"}), ("nonsense", {}),
        ("switch", {"id": "S9", "to": "off"}), ("name", {"part": "X1", "mode": "open"}),
        ("read", {"red": "F1:1", "black": "DC-", "function": "volts"}), ("prove", {}),
    ],
}  # fmt: skip  # rows that a reader compares
"""Asked of the horn's boat, none of it tells one variant from another."""


def test_nothing_here_tells_two_dealt_faults_apart_before_a_reading_does(tmp_path):
    kept = []
    for number in range(4):
        wire = _Wire(_variant(tmp_path, VARIED, number))
        hunt = RemoteHunt(wire, VARIED)
        for act, args in _HARMLESS[VARIED]:
            try:
                if act in ("name", "prove"):
                    getattr(hunt, act)(*args.values())
                else:
                    hunt.bench.act(act, **args)
            except CircuitError:
                pass
        kept.append((wire.traffic, _bytes_of(hunt), hunt))
        assert hunt.bench.circuit.faults == ()
    assert len({tuple(traffic) for traffic, _, _ in kept}) == 1
    assert len({held for _, held, _ in kept}) == 1
    assert len(kept[0][0]) == len(_HARMLESS[VARIED]) + 1


def test_the_first_reading_that_differs_is_the_first_thing_that_does(tmp_path):
    wires = [_Wire(_variant(tmp_path, VARIED, number)) for number in (2, 3)]
    hunts = [RemoteHunt(wire, VARIED) for wire in wires]
    dice, points = random.Random(3), sorted(hunts[0].bench.drawn.node_of)
    told = 0
    for _ in range(40):
        red, black = dice.sample(points, 2)
        shown = [hunt.bench.read(red, black).display for hunt in hunts]
        same = wires[0].traffic[-1] == wires[1].traffic[-1]
        assert same == (shown[0] == shown[1])
        told += not same
    assert told > 3


def test_no_fault_cause_or_other_complaint_is_in_what_is_sent(tmp_path):
    held, _ = _held(tmp_path, VARIED, "Ada")
    sent = json.dumps(held.opened())
    exercise = held.exercise
    assert not any(fault in sent for faults in exercise.variants for fault in faults)
    assert not any(cause in sent for cause in exercise.causes)
    assert "faults" not in sent
    assert "value" not in json.dumps(held.ask(0, "read", {"red": "G1:+"}))


# -- the same as a bench of one's own -------------------------------------------------------------


@pytest.mark.parametrize("stem", [PLAIN, VARIED])
def test_what_is_done_afar_shows_what_it_shows_at_hand(tmp_path, stem):
    held, _ = _held(tmp_path, stem, "Ada")
    far, near = RemoteHunt(_Wire(held), stem).bench, Bench(held.hunt.dealt.circuit)
    dice = random.Random(5)
    parts = list(near.drawn.parts)
    points = sorted(near.drawn.node_of)
    moves = [(id, word) for id, p in near.drawn.parts.items() for word in p.settings()]
    runs = [run.name for run in near.drawn.runs]
    for _ in range(60):
        act, args = dice.choice([
            ("read", {"red": dice.choice(points), "black": dice.choice(points),
                      "function": dice.choice(["volts", "ohms", "clamp"])}),
            ("switch", dict(zip(("id", "to"), dice.choice(moves), strict=True))),
            ("pull", {"id": dice.choice(parts)}), ("fit", {"id": dice.choice(parts)}),
            ("part", {"terminal": dice.choice(points)}),
            ("join", {"terminal": dice.choice(points)}),
            ("jumper", {"first": dice.choice(points), "second": dice.choice(points)}),
            ("test lamp", {"first": dice.choice(points), "second": dice.choice(points)}),
            ("lift", {"what": "jumper"}), ("look", {"id": dice.choice(parts)}),
            ("trace", {"run": dice.choice(runs)}), ("isolate", {"id": dice.choice(parts)}),
        ])  # fmt: skip  # rows that a reader compares
        done = []
        for bench in (far, near):
            try:
                done.append(bench.act(act, **args).as_json())
            except CircuitError as error:
                done.append(error.problems)
        assert done[0] == done[1]
        assert far.drawn == near.drawn
        assert (far.pulled, far.seen_open, far.traced) == (
            near.pulled, near.seen_open, near.traced,
        )  # fmt: skip  # rows that a reader compares
    assert far.minutes == pytest.approx(near.minutes, abs=0.1)


# -- through the network --------------------------------------------------------------------------


def _mend(hunt):
    """Find and mend the corroded splice of the washdown pump."""
    hunt.bench.switch("S2", "on")
    hunt.bench.read("X1:1", "X1:2")
    hunt.name("M1", "seized")
    hunt.name("X1", "high resistance")
    hunt.bench.switch("S2", "off")
    hunt.bench.repair("X1")
    hunt.bench.switch("S2", "on")


def test_an_exam_is_played_on_the_usual_card_stopped_gone_on_with_and_marked(tmp_path):
    folder = _dealt(tmp_path, PLAIN, ["Ada", "Bo Derry"])
    with _serving(folder) as (url, tokens):
        card = exam(url=url, token=tokens["Ada"])
        assert isinstance(card, HuntCard)
        card.bench.handle({"ask": "touch", "with": {"key": "X1:1"}})
        card.bench.handle({"ask": "touch", "with": {"key": "X1:2"}})
        assert len(card.bench.history) == 1
        _mend(card.hunt)
        card.name("X1", "high resistance")
        assert card.said == NOTED
        before = card.hunt.bench.log
    port = int(url.rpartition(":")[2])
    with _serving(folder, port) as (url, tokens):  # the same kernel goes on with another referee
        card.prove()
        assert card.proven, card.said
        again = exam(PLAIN, url, tokens["Ada"])
        assert again.hunt.bench.log == before
        assert again.proven
        assert exam(url=url, token=tokens["Bo Derry"]).hunt.bench.log == []
    known, _ = exercises_below(tmp_path / "exercises")
    records, problems = read_folder(folder / "records")
    marks, doubts = replayed(records, known)
    assert (problems, doubts) == ([], [])
    (mark,) = [one for one in marks if one.learner == "Ada"]
    assert mark.played
    assert mark.proven
    assert mark.right == ("X1 high resistance",) * 2
    assert mark.wrong == ("M1 seized",)
    assert Rubric().points(mark, 25) > 0


def test_whoever_has_no_token_or_another_ones_is_refused(tmp_path):
    folder = _dealt(tmp_path, PLAIN, ["Ada", "Bo"])
    with _serving(folder) as (url, tokens):
        for token in ("wrong", tokens["Ada"][:-1], tokens["Ada"] + "x"):
            with pytest.raises(CircuitError, match="does not know your token"):
                exam(url=url, token=token)
        with pytest.raises(urllib.error.HTTPError, match="403"):
            urllib.request.urlopen(f"{url}/hunts")
        with pytest.raises(CircuitError, match="has dealt you no such hunt"):
            exam("../slow-washdown", url, tokens["Ada"])
        for body, status in (
            (b"[]", 400),
            (b"{}", 400),
            (b"x" * 3000, 400),
            (b'{"n": -1, "act": "look", "args": {}}', 400),
            (b'{"n": 0, "act": "look", "args": {"id": 3}}', 400),
            (b'{"n": 5, "act": "look", "args": {"id": "M1"}}', 409),
        ):
            asked = urllib.request.Request(f"{url}/hunts/{PLAIN}/acts", body)
            asked.add_header("Authorization", f"token {tokens['Ada']}")
            with pytest.raises(urllib.error.HTTPError, match=str(status)):
                urllib.request.urlopen(asked)


def test_thirty_acts_a_second_of_a_class_are_answered(tmp_path):
    names = [f"learner {number}" for number in range(6)]
    folder = _dealt(tmp_path, PLAIN, names)
    each, done = 10, []

    def play(door):
        seat = RemoteHunt(door, PLAIN)
        for number in range(each):
            seat.bench.read("X1:1", "X1:2", "volts" if number % 2 else "ohms")
            done.append(1)

    with _serving(folder) as (url, tokens):
        began, used = time.monotonic(), time.process_time()
        crew = [threading.Thread(target=play, args=(Door(url, t),)) for t in tokens.values()]
        for one in crew:
            one.start()
        for one in crew:
            one.join()
        took, worked = time.monotonic() - began, time.process_time() - used
    assert len(done) == each * len(names)
    assert worked < len(done) / 30, f"{worked:.2f} s of processor, {took:.2f} s in all"


def test_one_learner_who_scripts_the_door_is_slowed_and_the_others_are_not(tmp_path, monkeypatch):
    monkeypatch.setattr("labkit.referee.service.RATE", 0.1)
    monkeypatch.setattr("labkit.referee.service.BURST", 5.0)
    folder = _dealt(tmp_path, PLAIN, ["Ada", "Bo"])
    with _serving(folder) as (url, tokens):
        ada = Door(url, tokens["Ada"])
        got = [ada._tried("GET", "hunts", None)[0] for _ in range(8)]
        assert got.count(200) in (5, 6)
        assert got.count(429) == 8 - got.count(200)
        assert Door(url, tokens["Bo"]).hunts() == [PLAIN]


# -- nothing is lost ------------------------------------------------------------------------------


def test_an_ask_whose_answer_was_lost_is_answered_again_and_not_done_twice(tmp_path):
    held, _ = _held(tmp_path, PLAIN, "Ada")
    first = held.ask(0, "read", {"red": "X1:1", "black": "X1:2"})
    assert held.ask(0, "read", {"red": "X1:1", "black": "X1:2"}) == first
    assert len(held.hunt.bench.log) == 1
    for number, act in ((0, "look"), (2, "read")):
        with pytest.raises(OutOfTurnError):
            held.ask(number, act, {"red": "X1:1"})


def test_a_referee_killed_goes_on_with_every_answer_it_gave(tmp_path):
    held, folder = _held(tmp_path, PLAIN, "Ada")
    wire = _Wire(held)
    hunt = RemoteHunt(wire, PLAIN)
    _mend(hunt)
    hunt.prove()
    data = held.hunt.attempt.path.read_bytes()
    held.hunt.attempt.close()
    held.hunt.attempt.path.write_bytes(data + b'{"n": 9, "kind": "act", "ac')  # torn while written
    (file,) = [path for path in folder.glob("*.toml") if path.name != "tokens.toml"]
    again = Held(open_exercise(file), "Ada", folder / "records")
    assert [json.dumps(x) for x in again.done] == [json.dumps(x) for x in held.done]
    assert again.ask(len(again.done), "look", {"id": "M1"})["shows"]


def test_what_is_not_on_the_disk_is_not_answered(tmp_path, monkeypatch):
    held, _ = _held(tmp_path, PLAIN, "Ada")

    def full(handle, line, forced):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("labkit.record.attempt.append", full)
        held.ask(0, "look", {"id": "M1"})
        assert held.trouble
    held.ask(0, "look", {"id": "M1"})  # asked again, it is written, and done once
    assert not held.trouble
    assert len(read_folder(held.hunt.attempt.path.parent)[0][0].of("act")) == 1


# -- who asks -------------------------------------------------------------------------------------


def test_a_folder_dealt_by_name_alone_is_no_exam(tmp_path):
    folder = _dealt(tmp_path, PLAIN, ["Ada"])
    (tmp_path / "exercises" / f"{PLAIN}{SUFFIX}").unlink()
    with pytest.raises(CircuitError, match="which anybody can work out; deal it again"):
        Referee(folder)
    with pytest.raises(CircuitError, match="nothing is dealt here"):
        Referee(tmp_path / "exercises" / "circuits")


@pytest.fixture
def hub():
    """A hub's programming interface, as far as it tells whose a token is."""
    from http.server import BaseHTTPRequestHandler, HTTPServer

    users = {
        "ada's": {"kind": "user", "name": "ada", "scopes": ["access:services!service=referee"]},
        "bo's": {"kind": "user", "name": "bo", "scopes": ["read:users!user=bo"]},
        "a service's": {"kind": "service", "name": "x", "scopes": ["access:services"]},
    }

    class Api(BaseHTTPRequestHandler):
        def do_GET(self):
            found = users.get(self.headers["Authorization"].removeprefix("token "))
            self.send_response(200 if found and self.path == "/hub/api/user" else 403)
            self.end_headers()
            self.wfile.write(json.dumps(found).encode())

        def log_message(self, *args):
            pass

    server = HTTPServer(("127.0.0.1", 0), Api)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}/hub/api"
    server.shutdown()
    thread.join()
    server.server_close()


def test_a_hub_says_whose_a_token_is_and_whether_they_may_ask_here(hub):
    import asyncio

    gate = hub_gate({"JUPYTERHUB_API_URL": hub, "JUPYTERHUB_SERVICE_NAME": "referee"})
    assert isinstance(gate, HubTokens)

    async def asked():
        return [await gate.who(t) for t in ("ada's", "ada's", "bo's", "a service's", "nobody's")]

    with ThreadPoolExecutor(1) as apart:  # a browser's loop may run in this thread
        found = apart.submit(lambda: asyncio.run(asked())).result()
    assert found == ["ada", "ada", "", "", ""]


def test_without_a_hub_there_is_no_hubs_gate():
    assert hub_gate({"JUPYTERHUB_API_TOKEN": "x"}) is None


def test_a_referee_that_is_not_there_is_told_of_in_a_sentence():
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        url = f"http://127.0.0.1:{free.getsockname()[1]}"
    with pytest.raises(CircuitError, match="does not answer; nothing was lost, try again"):
        Door(url, "x", patience=0.0).hunts()
    with pytest.raises(CircuitError, match="say where the referee is"):
        exam()
