"""A learner at a hub: logs in by the form, and works through REST and the kernel's messages.

What a browser does, without one: the page's own messages to the bench go over the websocket, and
what the bench says comes back by it.
"""

from __future__ import annotations

import json
import time
import uuid
from typing import Any

import requests
import websocket

from tests.hub.school import PATIENCE


class Learner:
    """One learner at a hub.

    Parameters
    ----------
    url : str
        The hub's.
    name, password : str
    """

    def __init__(self, url: str, name: str, password: str) -> None:
        self.url, self.name = url, name
        self.home = f"{url}/user/{name}"
        self.web = requests.Session()
        form = self.web.get(f"{url}/hub/login", timeout=PATIENCE)
        form.raise_for_status()
        entered = {"username": name, "password": password, "_xsrf": self.web.cookies["_xsrf"]}
        done = self.web.post(
            f"{url}/hub/login", entered, timeout=PATIENCE, params={"next": "/hub/home"}
        )
        self.came_in = done.status_code == 200 and done.url.endswith("/hub/home")
        if self.came_in:
            xsrf = {"X-XSRFToken": self.web.cookies.get("_xsrf", path="/hub/")}
            made = self.web.post(
                f"{url}/hub/api/users/{name}/tokens", json={}, headers=xsrf, timeout=PATIENCE
            )
            self.token = made.json()["token"]
            self.web.headers["Authorization"] = f"token {self.token}"
        self.kernel = ""
        self.bench = ""
        self.state: dict[str, Any] = {}
        self._line: websocket.WebSocket | None = None

    def ask(self, how: str, path: str, **sent: Any) -> requests.Response:
        """Ask the hub or the server; what is refused is an error."""
        answer = self.web.request(how, f"{self.url}{path}", timeout=PATIENCE, **sent)
        answer.raise_for_status()
        return answer

    def start(self) -> None:
        """Have the server started, and wait until it answers."""
        self.ask("POST", f"/hub/api/users/{self.name}/server")
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            if (
                self.ask("GET", f"/hub/api/users/{self.name}")
                .json()["servers"]
                .get("", {})["ready"]
            ):
                return
            time.sleep(0.2)
        raise AssertionError(f"no server for {self.name}")

    @property
    def up(self) -> bool:
        """Whether the hub takes the learner's server to be running."""
        return "" in self._servers

    @property
    def _servers(self) -> dict[str, Any]:
        known = self.ask("GET", f"/hub/api/users/{self.name}").json()
        return dict(known["servers"])

    def open(self, notebook: str) -> None:
        """Open a notebook: a session with a kernel in its folder, and the line to it."""
        wanted = {"path": notebook, "type": "notebook", "name": "", "kernel": {"name": "python3"}}
        made = self.ask("POST", f"/user/{self.name}/api/sessions", json=wanted).json()
        self.kernel = made["kernel"]["id"]
        where = self.home.replace("http", "ws", 1)
        self._line = websocket.create_connection(
            f"{where}/api/kernels/{self.kernel}/channels",
            timeout=PATIENCE,
            header=[f"Authorization: token {self.token}"],
        )

    def close(self) -> None:
        """Let go of the line."""
        if self._line is not None:
            self._line.close()
            self._line = None

    def run(self, code: str) -> str:
        """Run a cell and return what it printed; note the bench it shows."""
        return self._send("execute_request", {
            "code": code, "silent": False, "store_history": True, "user_expressions": {},
            "allow_stdin": False, "stop_on_error": True,
        })  # fmt: skip  # rows that a reader compares

    def act(self, ask: str, **how: Any) -> dict[str, Any]:
        """Do at the bench what a click on it does; return what it shows then."""
        content = {"ask": ask, "with": how}
        said = {"comm_id": self.bench, "data": {"method": "custom", "content": content}}
        self._send("comm_msg", said)
        return self.state

    def _send(self, kind: str, content: dict[str, Any]) -> str:
        assert self._line is not None
        number = uuid.uuid4().hex
        head = {
            "msg_id": number, "msg_type": kind, "username": self.name, "session": number,
            "date": "", "version": "5.4",
        }  # fmt: skip  # rows that a reader compares
        self._line.send(json.dumps({
            "header": head, "parent_header": {}, "metadata": {}, "content": content,
            "channel": "shell", "buffers": [],
        }))  # fmt: skip  # rows that a reader compares
        return self._heard(number)

    def _heard(self, number: str) -> str:
        """Take in what the kernel says until it is idle again after the message of that number."""
        assert self._line is not None
        printed = ""
        while True:
            got = json.loads(self._line.recv())
            kind, content = got["msg_type"], got["content"]
            if kind == "comm_open" and "naming" in content["data"].get("state", {}):
                self.bench, self.state = content["comm_id"], dict(content["data"]["state"])
            if kind == "comm_msg" and content["comm_id"] == self.bench:
                self.state.update(news := content["data"].get("state", {}))
                if more := news.get("more"):
                    self.state["history"][more["from"] :] = more["lines"]
            if got["parent_header"].get("msg_id") != number:
                continue
            if kind == "stream":
                printed += content["text"]
            if kind == "error":
                raise AssertionError("\n".join(content["traceback"]))
            if kind == "status" and content["execution_state"] == "idle":
                return printed
