"""How long an owner's boat thinks: `python -m tests.ownboat.speed`.

Seconds of one processor, for a boat of 19 parts and one of 45: to weigh a reading, to give the
first advice and the next. Goals: 5 ms, 1 s and 100 ms; 20 ms, 2 s and 0.3 s.
"""

import statistics
import tempfile
import time
from pathlib import Path

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.diagnosis.cost import Visit
from labkit.ownboat.advice import Adviser
from labkit.ownboat.boat import Boat
from labkit.ownboat.inference import Inference
from labkit.ownboat.remains import remains
from tests.ownboat.boats import described
from tests.ownboat.hunting import first_looks
from tests.ownboat.truth import Owner, real

FEED = """
[[run]]
name = "battery"
from = "DC-"
to = "stud"
parts = [{ id = "G1", is = "battery", emf = "12.7 V", capacity = "100 Ah" }]

[[run]]
name = "feed"
from = "stud"
to = "panel"
parts = [
  { id = "F99", is = "fuse", kind = "maxi", rating = "60 A" },
  { id = "W99", is = "cable", size = "16 mm2", length = "about 3 m" },
  { id = "S99", is = "switch", position = "on" },
]
"""

BRANCH = """
[[run]]
name = "load {n}"
from = "panel"
to = "DC-"
parts = [
  {{ id = "F{n}", is = "fuse", rating = "7.5 A" }},
  {{ id = "S{n}", is = "switch" }},
  {{ id = "W{n}", is = "cable", size = "2.5 mm2", length = "about 5 m" }},
  {{ id = "M{n}", is = "motor", voltage = "12 V", current = "3 A" }},
  {{ id = "X{n}", is = "joint" }},
]
"""


def panel(loads: int) -> Circuit:
    """A panel with so many pumps, five parts each."""
    text = 'title = "Panel"\n' + FEED + "".join(BRANCH.format(n=n) for n in range(1, loads + 1))
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "panel.toml"
        file.write_text(text, encoding="utf-8")
        return load_circuit(file)


def timed(work):
    start = time.process_time()
    done = work()
    return done, time.process_time() - start


def hunt(drawn: Circuit, fault: str) -> str:
    """A line of times for one hunt."""
    (boat, adviser), start = timed(
        lambda: (made := Boat(drawn, ("clamp", "test lamp")), Adviser(made))
    )
    owner, inference = Owner(real(drawn, 3).with_fault(fault), 3), Inference(boat)
    visit = Visit(boat.circuit)
    for m in first_looks(boat):
        inference.see(owner(m))
    found, first = timed(lambda: remains(adviser, inference, visit, 3))
    weighing, advising = [], []
    while found.next and not found.settled and len(advising) < 8:
        seen = owner(found.next[0].measurement)
        visit.go(seen)
        weighing.append(timed(lambda seen=seen: inference.see(seen))[1])
        found, seconds = timed(lambda: remains(adviser, inference, visit, 3))
        advising.append(seconds)
    return (
        f"{len(drawn.parts):5} {start:8.2f} {first:7.2f} {statistics.median(advising):7.3f} "
        f"{max(advising):7.3f} {1e3 * statistics.median(weighing):9.1f}   {found.group[0]}"
    )


def main() -> None:
    print("parts    begin   first    next   worst  weigh/ms   named")
    print(hunt(described("water"), "X2 resistance 0.3 ohm"))
    print(hunt(panel(8), "X3 resistance 0.4 ohm"))


if __name__ == "__main__":
    main()
