"""Invented boats of any number of circuits, some on sub-panels of their own."""

from __future__ import annotations

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.parts import Battery, Cable, Electronics, Fuse, Joint, Lampholder, MotorLoad, Switch
from labkit.parts.base import Part


def large_boat(circuits: int, panels: int = 0, on: tuple[int, ...] = (1,)) -> Circuit:
    """A boat of about five parts a circuit, the first circuits' loads a lamp, a pump, a set.

    Circuit n has fuse Fn, switch Sn, cable Wn, its load (En, Mn or An) and joint Xn. With `panels`
    each circuit hangs on one of so many sub-panels, behind a feeder and a negative bar of its own.
    """
    runs = [
        run("DC-", "stud", Battery("G1", emf="12.7 V", resistance="8 mohm"), name="battery"),
        run("stud", "panel", Fuse("F900", rating="300 A", kind="mega"),
            Switch("S900", position="on"), Cable("W900", size="35 mm2", length="2 m"),
            name="main feed"),
    ]  # fmt: skip  # rows that a reader compares
    for k in range(panels):
        feed = Fuse(f"F{901 + k}", rating="100 A", kind="mega")
        cable = Cable(f"W{901 + k}", size="16 mm2", length=f"{4 + k} m")
        back = Cable(f"W{931 + k}", size="16 mm2", length=f"{4 + k} m")
        lug = Joint(f"X{931 + k}")
        runs.append(run("panel", f"panel {k}", feed, cable, name=f"feeder {k}"))
        runs.append(run(f"negative {k}", "DC-", back, lug, name=f"negative feeder {k}"))
    for n in range(1, circuits + 1):
        start, end = (f"panel {n % panels}", f"negative {n % panels}") if panels else _ONE
        position = "on" if n in on else "off"
        runs.append(
            run(start, end, Fuse(f"F{n}", rating="10 A"), Switch(f"S{n}", position=position),
                Cable(f"W{n}", size="2.5 mm2", length=f"{3 + n % 7} m"), _load(n), Joint(f"X{n}"),
                name=f"circuit {n}")
        )  # fmt: skip  # rows that a reader compares
    return build_circuit(f"invented boat of {circuits} circuits", *runs)


_ONE = ("panel", "DC-")


def _load(n: int) -> Part:
    if n % 6 in (3, 5):
        return MotorLoad(f"M{n}", current=f"{2 + n % 5} A", resistance="0.5 ohm")
    if n % 6 == 0:
        return Electronics(f"A{n}", power=f"{10 + n % 20} W", cut_out="9 V", restart="10.5 V")
    return Lampholder(f"E{n}", power=f"{5 + 5 * (n % 4)} W")
