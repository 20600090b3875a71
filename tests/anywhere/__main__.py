"""Plays acts in the page's own Python and says what shows otherwise than here.

python -m tests.anywhere [acts] [seed]
python -m tests.anywhere hunts [learner]
python -m tests.anywhere times
python -m tests.anywhere lite FOLDER

The second opens, names, repairs and proves every hunt there; the third measures in Chromium what
the page promises by the clock; the last lays what JupyterLite builds a site from.
"""

import sys
from pathlib import Path

from labkit.circuits.circuit_file import load_circuit
from tests.anywhere.gate import CIRCUITS, all_hunts, gate

if sys.argv[1:] == ["times"]:
    from tests.anywhere.times import shown

    sys.exit(not shown())
if sys.argv[1:2] == ["hunts"]:
    rows = all_hunts(" ".join(sys.argv[2:]) or "Ada")
    for slug, failed, seconds in rows:
        print(f"{slug:32} {seconds:5} s  {failed or 'proven'}")
    failing = sum(bool(failed) for _, failed, _ in rows)
    print(f"{len(rows)} hunts: {failing} did not come out")
    sys.exit(bool(failing))
if sys.argv[1:2] == ["lite"]:
    from tests.anywhere.lite import lay

    lay(Path(sys.argv[2]))
    sys.exit()
count, seed = (int(word) for word in (*sys.argv[1:3], *("1000", "0")[len(sys.argv[1:3]) :]))
boats, differs = gate(count, seed)
for row in differs:
    print(*row, sep="\n  ")
names = {name for name, _, _ in boats}
kinds = {part.kind for name in names for part in load_circuit(CIRCUITS / name).parts.values()}
done = [row for _, _, rows in boats for row in rows]
refused = sum(was[0] == "refused" for _, _, was in done)
print(
    f"{len(done)} acts ({refused} refused) at {len(boats)} boats of {len(names)} circuits with "
    f"{len(kinds)} kinds of part: {len(differs)} show otherwise"
)
sys.exit(bool(differs))
