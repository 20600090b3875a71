"""Packages whose names are loaded when they are first used, so that importing one is quick."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Mapping
from typing import Any


def names_of(
    package: str, homes: Mapping[str, str]
) -> tuple[Callable[[str], Any], Callable[[], list[str]]]:
    """Return `__getattr__` and `__dir__` for a package.

    Parameters
    ----------
    package : str
        Its full name, `__name__`.
    homes : mapping of str to str
        Each public name to the module that holds it, from the package on, such as "ranking"; and
        after a colon the name it has there, where that is another one.
    """

    def load(name: str) -> Any:
        if name not in homes:
            raise AttributeError(f"module '{package}' has no attribute '{name}'")
        home, _, inside = homes[name].partition(":")
        return getattr(importlib.import_module(f"{package}.{home}"), inside or name)

    return load, lambda: sorted(homes)
