"""Attempts on disk: a file each, a line of JSON for each thing done, written as it is done.

A line is written whole and behind the others, and carries its number and a checksum, so that a
crash costs at most the line being written, and damage is found. A damaged file is set aside under
another name, never deleted; what can be read of it goes on in a new one. Where nothing can be
written (a full disk, a read-only home) one sentence says so, lines are kept in memory, and
practice goes on. Lines that matter for marks are forced to the disk; acts are left to the system,
for the sake of speed.
"""

from labkit.record.attempt import (
    PROGRAM,
    Attempt,
    attempts,
    begin,
    records_folder,
    resume,
    unfinished,
    user,
)
from labkit.record.lines import SCHEMA, Record, read_folder, read_record

__all__ = [
    "PROGRAM", "SCHEMA", "Attempt", "Record", "attempts", "begin", "read_folder", "read_record",
    "records_folder", "resume", "unfinished", "user",
]  # fmt: skip  # rows that a reader compares
