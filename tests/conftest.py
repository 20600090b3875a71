"""Random tests take the same examples each time, so that a run can be repeated.

A wider search is made by hand: ``pytest --hypothesis-profile=wide``.
"""

from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None)
settings.register_profile("wide", max_examples=2000, deadline=None)
settings.load_profile("steady")
