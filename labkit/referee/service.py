"""The referee as a service: stands alone, or is run by a hub; whoever asks is known by a token.

`GET hunts` lists what whoever asks was dealt, `GET hunts/NAME` is what such a hunt begins with, and
`POST hunts/NAME/acts` takes ``{"n": 17, "act": "read", "args": {...}}``.
"""

from __future__ import annotations

import asyncio
import hashlib
import hmac
import json
import os
import secrets
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Protocol

from tornado.httpclient import AsyncHTTPClient, HTTPError
from tornado.web import Application, RequestHandler

from labkit.exercises.dealing import file_word, is_hand, open_exercise
from labkit.exercises.exercise import Exercise
from labkit.referee.held import Held, OutOfTurnError
from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.text.plain_file import is_there
from labkit.text.toml_file import read_toml

TICK = 0.02
"""Answers leave at a multiple of this after their ask, so that how long a boat takes to be reckoned
tells nothing of what is wrong with it. [s]"""

RATE, BURST = 10.0, 60.0
"""Asks of one learner in a second for ever, and at once. Our choice: nobody clicks faster."""

LARGEST_ASK = 2000
"""[bytes]"""

KNOWN_FOR = 60.0
"""How long the hub's word on a token holds. [s]"""

TOKENS = "tokens.toml"


class Gate(Protocol):
    """Tells who asks."""

    async def who(self, token: str) -> str:
        """Return the name that a token stands for, or ''."""
        ...


class OwnTokens:
    """Tokens in a file of the referee's own, one for each learner.

    Parameters
    ----------
    file : Path
        Made, or added to, where a learner has none yet; readable by its owner alone.
    names : iterable of str
    """

    def __init__(self, file: Path, names: list[str]) -> None:
        held: dict[str, Any] = read_toml(file) if is_there(file) else {}
        for name in names:
            held.setdefault(name, secrets.token_urlsafe(18))
        rows = [
            f"{json.dumps(name, ensure_ascii=False)} = {json.dumps(held[name])}" for name in held
        ]
        write(
            file, "\n".join(["# Each learner's own token, and nobody else's to know.", *rows, ""])
        )
        file.chmod(0o600)
        self._names = {_mixed(str(token)): name for name, token in held.items()}

    async def who(self, token: str) -> str:
        """Return the learner whose token it is, or ''."""
        given = _mixed(token)
        return next((n for held, n in self._names.items() if hmac.compare_digest(held, given)), "")


def _mixed(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


class HubTokens:
    """A hub's own tokens: the hub says whose one is, and whether they may ask here.

    Parameters
    ----------
    api : str
        Address of the hub's programming interface, JUPYTERHUB_API_URL.
    scopes : frozenset of str
        One of which a token must bear, JUPYTERHUB_OAUTH_ACCESS_SCOPES.
    """

    def __init__(self, api: str, scopes: frozenset[str]) -> None:
        self.api, self.scopes = api, scopes
        self._known: dict[str, tuple[float, str]] = {}

    async def who(self, token: str) -> str:
        """Return the hub's user whose token it is, or ''."""
        key, now = _mixed(token), time.monotonic()
        until, name = self._known.get(key, (0.0, ""))
        if until < now:
            name = await self._asked(token)
            self._known = {k: held for k, held in self._known.items() if held[0] >= now}
            if name:
                self._known[key] = (now + KNOWN_FOR, name)
        return name

    async def _asked(self, token: str) -> str:
        head = {"Authorization": f"token {token}"}
        try:
            answer = await AsyncHTTPClient().fetch(f"{self.api}/user", headers=head)
            found = json.loads(answer.body)
        except (HTTPError, OSError, ValueError):
            return ""
        may = bool(self.scopes & frozenset(found.get("scopes", ()))) or not self.scopes
        return str(found["name"]) if found.get("kind") == "user" and may else ""


class Referee:
    """What was dealt in a folder, held for whoever it was dealt to.

    Parameters
    ----------
    folder : Path
        With files that `labkit deal --to` wrote; attempts are kept in `records` below it.

    Raises
    ------
    CircuitError
        If nothing is dealt there, or something in a way that learners could work out.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        files = [path for path in sorted(folder.glob("*.toml")) if path.name != TOKENS]
        hands = [_hunt_of(path) for path in files if is_hand(path)]
        self._hands = {(file_word(one.learner), Path(one.file).stem): one for one in hands}
        self._held: dict[tuple[str, str], Held] = {}
        if not hands:
            raise CircuitError(
                [
                    f"{folder}: nothing is dealt here; run labkit deal EXERCISE --class names.txt "
                    f"--to {folder}"
                ]
            )
        open_ones = [one for one in hands if one.learner not in one.seeds]
        if open_ones:
            raise CircuitError(
                [
                    f"{one.file}: was dealt to {one.learner} by name alone, which anybody can work "
                    "out; deal it again with labkit deal --to --overwrite"
                    for one in open_ones
                ]
            )

    @property
    def learners(self) -> list[str]:
        """Whoever was dealt something."""
        return list(dict.fromkeys(one.learner for one in self._hands.values()))

    def hunts(self, learner: str) -> list[str]:
        """Names of the hunts somebody was dealt."""
        return [hunt for whose, hunt in self._hands if whose == file_word(learner)]

    def held(self, learner: str, hunt: str) -> Held | None:
        """Return somebody's hunt; None where they were dealt none of that name."""
        key = (file_word(learner), hunt)
        if key not in self._hands:
            return None
        if key not in self._held:
            exercise = self._hands[key]
            self._held[key] = Held(exercise, exercise.learner, self.folder / "records")
        return self._held[key]


def _hunt_of(file: Path) -> Exercise:
    exercise = open_exercise(file)
    if not isinstance(exercise, Exercise):
        raise CircuitError(
            [f"{file}: is a survey, which nobody needs to hold; deal it as a notebook, --sealed"]
        )
    return exercise


class _Asked(RequestHandler):
    """Knows who asks, and how often."""

    def initialize(
        self, referee: Referee, gate: Gate, asked: dict[str, tuple[float, float]]
    ) -> None:
        self.referee, self.gate, self.asked = referee, gate, asked
        self.at = time.monotonic()
        self.learner = ""

    def check_xsrf_cookie(self) -> None:
        """Tokens alone say who asks; no cookie is read, so none can be misused."""

    async def prepare(self) -> None:
        kind, _, token = self.request.headers.get("Authorization", "").partition(" ")
        if kind.lower() in ("token", "bearer") and token:
            self.learner = await self.gate.who(token.strip())
        if not self.learner:
            self.refuse(403)
        elif not self._in_time():
            self.set_header("Retry-After", "1")
            self.refuse(429)

    def _in_time(self) -> bool:
        left, then = self.asked.get(self.learner, (BURST, self.at))
        left = min(BURST, left + RATE * (self.at - then))
        self.asked[self.learner] = (max(0.0, left - 1), self.at)
        return left >= 1

    def refuse(self, status: int) -> None:
        self.set_status(status)
        self.finish({})

    async def answer(self, data: Mapping[str, Any]) -> None:
        text = json.dumps(data)
        await asyncio.sleep(TICK - (time.monotonic() - self.at) % TICK)
        self.set_header("Content-Type", "application/json")
        await self.finish(text)


class _Hunts(_Asked):
    async def get(self) -> None:
        await self.answer({"hunts": self.referee.hunts(self.learner)})


class _Hunt(_Asked):
    async def get(self, hunt: str) -> None:
        held = self.referee.held(self.learner, hunt)
        if held is None:
            self.refuse(404)
        else:
            await self.answer(held.opened())


class _Acts(_Asked):
    async def post(self, hunt: str) -> None:
        held = self.referee.held(self.learner, hunt)
        asked = _read(self.request.body)
        if held is None or asked is None:
            self.refuse(404 if held is None else 400)
            return
        try:
            done = held.ask(*asked)
        except OutOfTurnError:
            self.refuse(409)
            return
        if held.trouble:
            self.refuse(503)  # not on the disk: asked again, it is tried again
        else:
            await self.answer(done)


def _read(body: bytes) -> tuple[int, str, dict[str, str]] | None:
    """Return the number, the act and its words; None where it is no ask."""
    try:
        asked: dict[str, Any] = json.loads(body) if len(body) <= LARGEST_ASK else {}
        number, act, args = asked["n"], asked["act"], asked["args"]
        fits = type(number) is int and number >= 0 and isinstance(act, str)
        words = all(isinstance(word, str) for word in args.values())
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None
    return (number, act, args) if fits and words and len(asked) == 3 else None


def application(referee: Referee, gate: Gate, prefix: str = "/") -> Application:
    """Return the service, to be listened to at an address."""
    known = {"referee": referee, "gate": gate, "asked": {}}
    return Application(
        [
            (rf"{prefix}hunts", _Hunts, known),
            (rf"{prefix}hunts/([^/]+)", _Hunt, known),
            (rf"{prefix}hunts/([^/]+)/acts", _Acts, known),
        ],
        log_function=lambda handler: None,
    )


def hub_gate(environment: Mapping[str, str] = os.environ) -> HubTokens | None:
    """Return the gate of the hub that runs this process; None where none does."""
    api = environment.get("JUPYTERHUB_API_URL", "")
    if not api or "JUPYTERHUB_SERVICE_NAME" not in environment:
        return None
    named = environment.get("JUPYTERHUB_OAUTH_ACCESS_SCOPES", "")
    name = environment["JUPYTERHUB_SERVICE_NAME"]
    wanted = json.loads(named) if named else [f"access:services!service={name}"]
    return HubTokens(api, frozenset(wanted) | {"access:services"})
