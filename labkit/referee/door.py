"""The learner's side of the referee's door: asks, repeated until they are answered."""

from __future__ import annotations

import http.client
import json
import time
from typing import Any
from urllib.parse import quote, urlparse

from labkit.text.messages import CircuitError

PATIENCE = 30.0
"""How long an ask is repeated: as long as a hub takes to start a service again. [s]"""

_LATER = (429, 502, 503, 504)  # a proxy whose service is just being started says so

_SAYS = {
    401: "does not know your token; ask the instructor for yours",
    403: "does not know your token; ask the instructor for yours",
    404: "has dealt you no such hunt",
    409: "has this hunt going on in another window; run this cell again",
}


class Door:
    """The way to a referee.

    Parameters
    ----------
    url : str
        Such as "http://127.0.0.1:8765/".
    token : str
        Says who asks.
    patience : float
        How long to repeat an ask that is not answered. [s]
    """

    def __init__(self, url: str, token: str, patience: float = PATIENCE) -> None:
        self._line: http.client.HTTPConnection | None = None
        self.url, self.token, self.patience = url.rstrip("/"), token, patience

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, "_line": None}

    def __del__(self) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the connection; the next ask makes a new one."""
        if self._line is not None:
            self._line.close()
            self._line = None

    def hunts(self) -> list[str]:
        """Names of the hunts that whoever asks was dealt."""
        return list(self._call("GET", "hunts")["hunts"])

    def opened(self, hunt: str) -> dict[str, Any]:
        """What a hunt begins with."""
        return self._call("GET", f"hunts/{quote(hunt)}")

    def ask(self, hunt: str, number: int, act: str, args: dict[str, str]) -> dict[str, Any]:
        """Have something done.

        Raises
        ------
        CircuitError
            If it cannot be done, or nobody answers.
        """
        body = {"n": number, "act": act, "args": args}
        answer = self._call("POST", f"hunts/{quote(hunt)}/acts", body)
        if "refused" in answer:
            raise CircuitError(answer["refused"])
        return answer

    def _call(self, method: str, path: str, body: object = None) -> dict[str, Any]:
        until, wait = time.monotonic() + self.patience, 0.1
        while True:
            status, data = self._tried(method, path, body)
            if status == 200:
                return dict(json.loads(data))
            if status not in (0, *_LATER):
                says = _SAYS.get(status, f"answers with error {status}; tell the instructor")
                raise CircuitError([f"the referee {says}"])
            if time.monotonic() > until:
                raise CircuitError(
                    [f"the referee at {self.url} does not answer; nothing was lost, try again"]
                )
            time.sleep(wait)
            wait = min(1.0, 2 * wait)

    def _tried(self, method: str, path: str, body: object) -> tuple[int, bytes]:
        """Return a status and what came with it; 0 where nothing came."""
        where = urlparse(f"{self.url}/{path}")
        kind = http.client.HTTPSConnection if where.scheme == "https" else None
        try:
            if self._line is None:
                self._line = (kind or http.client.HTTPConnection)(where.netloc, timeout=20)
            text = None if body is None else json.dumps(body)
            head = {"Authorization": f"token {self.token}", "Content-Type": "application/json"}
            self._line.request(method, where.path, text, head)
            answer = self._line.getresponse()
            return answer.status, answer.read()
        except (OSError, http.client.HTTPException):
            self.close()
            return 0, b""
