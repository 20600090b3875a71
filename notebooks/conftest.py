"""Notebooks that are run as tests keep what is done in them somewhere else than a learner's do."""

import os
import tempfile

os.environ["LABKIT_RECORDS"] = tempfile.mkdtemp(prefix="labkit-")


def pytest_ignore_collect(config):
    """No notebook is quick."""
    return True if config.option.markexpr == "quick" else None
