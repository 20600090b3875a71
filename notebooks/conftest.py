"""Notebooks that are run as tests keep what is done in them somewhere else than a learner's do."""

import os
import tempfile

os.environ["LABKIT_RECORDS"] = tempfile.mkdtemp(prefix="labkit-")
