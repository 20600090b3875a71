"""Plays acts in the page's own Python and says what shows otherwise than here.

python -m tests.anywhere [acts] [seed]
python -m tests.anywhere times

The second measures in Chromium what the page promises by the clock.
"""

import sys

from labkit.circuits.circuit_file import load_circuit
from tests.anywhere.gate import CIRCUITS, gate

if sys.argv[1:] == ["times"]:
    from tests.anywhere.times import shown

    sys.exit(not shown())
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
