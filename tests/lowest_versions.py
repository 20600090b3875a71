"""The least versions that pyproject.toml allows, as a file of constraints for pip.

``python -m tests.lowest_versions > .lowest.txt``, then ``pip install -c .lowest.txt -e ".[test]"``.
"""

from __future__ import annotations

import re
import tomllib

from tests.boats import ROOT


def lowest() -> list[str]:
    """Every dependency pinned to its lower bound, as 'numpy==1.26'."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    named = [*project["dependencies"], *extras["class"], *extras["test"]]
    return [
        re.sub(r"^([\w.-]+)\s*>=\s*([\w.]+).*$", r"\1==\2", text) for text in named if ">=" in text
    ]


if __name__ == "__main__":
    print(*lowest(), sep="\n")
