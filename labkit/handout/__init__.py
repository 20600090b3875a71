"""The printed page: a hand-out to fill in, its answers, or a page of one's own circuit."""

from labkit.handout.sheet import sheet_of
from labkit.handout.typeset import PAPERS, typeset

__all__ = ["PAPERS", "sheet_of", "typeset"]
