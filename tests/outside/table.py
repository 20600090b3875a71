"""Print what is checked against what, with the worst error found now.

Run it from the project's folder: ``python -m tests.outside.table``.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable

from . import hand_netlists, heat, protection_and_loads, shipped, symbolic, wires, worked
from .checks import Check, Row, failures

HEADER = ("what of labkit", "against what", "how known", "checks")


def all_rows() -> list[Row]:
    """All rows, in the order of the table."""
    groups = (worked, symbolic, wires, protection_and_loads, heat, shipped, hand_netlists)
    return [row for group in groups for row in group.rows()]


def worst(checks: Iterable[Check]) -> str:
    """The greatest relative error of a row, or that it has limits and no values."""
    errors = [check.error for check in checks if check.error is not None]
    return f"{max(errors):.1e}" if errors else "limits only"


def lines(live: bool = True, failed: list[str] | None = None) -> list[str]:
    """The table as Markdown; `live` adds the worst error, and `failed` takes what failed."""
    wrong = [] if failed is None else failed
    head = (*HEADER, "worst error", "of its tolerance", "failed") if live else HEADER
    table = [_line(head), _line("---" for _ in head)]
    total = 0
    for row in all_rows():
        quick = row.count() if row.count is not None and not live else None
        checks = row.checks() if quick is None else []
        number = len(checks) if quick is None else quick
        cells = [row.what, row.against, row.known, str(number)]
        total += number
        wrong += failures(checks)
        if live:
            strain = f"{max(check.strain for check in checks):.0%}"
            cells += [worst(checks), strain, str(len(failures(checks)))]
        table.append(_line(cells))
    cells = ["all", "", "", str(total)]
    return [*table, _line([*cells, "", "", str(len(wrong))] if live else cells)]


def _line(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


def main() -> int:
    """Print the table, then every check that failed; the exit status tells whether any did."""
    failed: list[str] = []
    print("\n".join(lines(failed=failed)))
    if failed:
        print("", *failed, sep="\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
