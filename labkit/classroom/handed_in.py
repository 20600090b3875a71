"""Whose work lies where: an attempt counts for its own learner, in its own learner's folder."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from labkit.record import Record


def own_work(
    records: Iterable[Record], learner_of: Callable[[Record], str]
) -> tuple[list[Record], list[str]]:
    """Return the attempts that say they are of whom they were handed in by.

    Parameters
    ----------
    records : iterable of Record
    learner_of : callable
        Whose folder a record lies in.

    Returns
    -------
    list of Record and list of str
        A sentence for each of the others, which say another name.
    """
    own, others = [], []
    for record in records:
        said, whose = str(record.head.get("learner", "")), learner_of(record)
        if said == whose:
            own.append(record)
        else:
            others.append(f"{record.path}: was handed in by {whose} and says it is {said}'s")
    return own, others
