"""Print what is checked against what, with the worst error found now.

Run it from the project's folder: ``python -m tests.outside.table``.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable

from . import hand_netlists, protection_and_loads, wires, worked
from .checks import Check, Row, failures

HEADER = ("what of labkit", "against what", "how known", "checks")


def all_rows() -> list[Row]:
    """All rows, in the order of the table."""
    groups = (worked, wires, protection_and_loads, hand_netlists)
    return [row for group in groups for row in group.rows()]


def worst(checks: Iterable[Check]) -> str:
    """The greatest relative error of a row, or that it has limits and no values."""
    errors = [check.error for check in checks if check.error is not None]
    return f"{max(errors):.1e}" if errors else "limits only"


def lines(live: bool = True) -> list[str]:
    """The table as Markdown; `live` adds the worst error and what failed."""
    head = (*HEADER, "worst error", "of its tolerance", "failed") if live else HEADER
    table = [_line(head), _line("---" for _ in head)]
    total = failed = 0
    for row in all_rows():
        checks = row.checks()
        cells = [row.what, row.against, row.known, str(len(checks))]
        total, failed = total + len(checks), failed + len(failures(checks))
        if live:
            strain = f"{max(check.strain for check in checks):.0%}"
            cells += [worst(checks), strain, str(len(failures(checks)))]
        table.append(_line(cells))
    cells = ["all", "", "", str(total)]
    return [*table, _line([*cells, "", "", str(failed)] if live else cells)]


def _line(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


def main() -> int:
    """Print the table, then every check that failed; the exit status tells whether any did."""
    print("\n".join(lines()))
    failed = [text for row in all_rows() for text in failures(row.checks())]
    if failed:
        print("", *failed, sep="\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
