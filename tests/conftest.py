"""Random tests take the same examples each time, so that a run can be repeated.

A wider search is made by hand: ``pytest --hypothesis-profile=wide``. ``pytest -m quick`` runs the
rooms named here, and reads no other file; a single file is run without workers, which take longer
to start than most files take.
"""

import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from xdist.scheduler import LoadScopeScheduling

HERE = Path(__file__).parent

QUICK = ("aboard", "circuits", "measuring", "questions", "survey", "text", "test_house.py")
"""Rooms and files that together take under a minute on two cores: the laws of a circuit, the file
format, the meter, the bench, the questions, the rules of the house."""


def is_quick(path: Path) -> bool:
    """Tell whether a file or folder here is, or leads to, one of the quick rooms."""
    return path == HERE or path.relative_to(HERE).parts[0] in QUICK


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Leave the slow rooms unread where only quick tests are asked for."""
    inside = collection_path.is_relative_to(HERE)
    return (
        True
        if config.option.markexpr == "quick" and inside and not is_quick(collection_path)
        else None
    )


LONG = "21-instructors-desk.ipynb"
"""A notebook that takes long, and would come last: all workers but one would wait for it."""


class ByRoom(LoadScopeScheduling):
    """A file at one worker; all of the browser's room, which shares a server and a loaded page."""

    def _split_scope(self, nodeid: str) -> str:
        return "browser" if nodeid.startswith("tests/browser/") else super()._split_scope(nodeid)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> ByRoom | None:
    """Hand tests out by room."""
    return ByRoom(config, log) if config.option.dist == "loadscope" else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what is quick, and begin with what is long."""
    items.sort(key=lambda item: item.path.name != LONG)
    for item in items:
        if item.path.is_relative_to(HERE) and is_quick(item.path):
            item.add_marker(pytest.mark.quick)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """Run one file in this very process; else more workers than cores, since browsers wait."""
    named = config.args
    one = len(named) == 1 and named[0].partition("::")[0].endswith((".py", ".ipynb"))
    more = 1 if config.option.markexpr == "quick" else 2  # each takes seconds to begin
    return 0 if one else (os.cpu_count() or 1) + more


settings.register_profile("steady", derandomize=True, deadline=None, max_examples=40)
settings.register_profile("wide", max_examples=2000, deadline=None)
settings.load_profile("steady")
