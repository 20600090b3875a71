"""How an abuse is counted: inputs tried, and a sentence for each that came out wrong."""

from __future__ import annotations

import json
import subprocess
import sys
import time
import traceback
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from random import Random

from labkit.text.messages import CircuitError, NoConvergenceError
from tests.boats import ROOT

MEMORY = 1 << 30
"""Address space of a child that reads hostile files: 1 GiB, the libraries included. [bytes]"""


@dataclass
class Tally:
    """Inputs tried and what was wrong; `worst` is what the `slowest` of them took. [s]"""

    tried: int = 0
    failures: list[str] = field(default_factory=list)
    worst: float = 0.0
    slowest: str = ""

    def wrong(self, what: str) -> None:
        """Note that the input tried last came out wrong."""
        self.failures.append(what)

    def attempt(self, name: str, act: Callable[[], object]) -> object:
        """Do something that may be refused in sentences, and must not end in any other way."""
        self.tried += 1
        start = time.perf_counter()
        try:
            return act()
        except CircuitError as error:
            self.sentences(name, error.problems)
        except NoConvergenceError as error:
            self.sentences(name, [str(error)])
        except Exception:
            last = traceback.format_exc().strip().splitlines()
            self.wrong(f"{name}: {last[-1][:150]} ({last[-3].strip() if len(last) > 2 else ''})")
        finally:
            self._took(name, time.perf_counter() - start)
        return None

    def sentences(self, name: str, said: list[str]) -> None:
        """What is said to a person: something, on a line, without the marks of a program."""
        if not said:
            self.wrong(f"{name}: refused without a word")
        for text in said:
            marks = [mark for mark in ("\n", "Traceback", "Error:", "pydantic") if mark in text]
            if marks or not 10 < len(text) < 600:
                self.wrong(f"{name}: says {text[:150]!r}")

    def add(self, other: Tally) -> None:
        """Add what was counted elsewhere."""
        self.tried += other.tried
        self.failures += other.failures
        self._took(other.slowest, other.worst)

    def _took(self, name: str, seconds: float) -> None:
        if seconds > self.worst:
            self.worst, self.slowest = seconds, name


def in_child(module: str, *words: str, seconds: float, env: dict[str, str] | None = None) -> Tally:
    """Run a module that prints its tally, with bounded memory and time."""
    command = [sys.executable, "-m", module, *words]
    try:
        done = subprocess.run(
            command, capture_output=True, text=True, encoding="utf-8", timeout=seconds, cwd=ROOT,
            check=False, env=env,
        )  # fmt: skip  # rows that a reader compares
    except subprocess.TimeoutExpired:
        return Tally(1, [f"{' '.join(words)}: no end within {seconds:g} s"], seconds)
    with suppress(ValueError, LookupError):
        return Tally(**json.loads(done.stdout.splitlines()[-1]))
    last = (done.stderr.strip().splitlines() or [f"status {done.returncode}"])[-1]
    return Tally(1, [f"{' '.join(words)}: {last[:200]}"])


def bound_memory() -> None:
    """Bound this process's memory, where the system can."""
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


def bound_time(seconds: float) -> None:
    """Bound this process's processor time, where the system can: a busy machine is no bomb."""
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_CPU, (round(seconds), round(seconds) + 1))


def told(tally: Tally) -> None:
    """Print a child's tally for its parent."""
    print(json.dumps(vars(tally)))


Abuse = Callable[[Random, int], Tally]
