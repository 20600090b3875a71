"""Every wire of a boat against what its loads, their fuses and the rules ask of it."""

from __future__ import annotations

from dataclasses import dataclass

from labkit.circuits.circuit import Circuit
from labkit.parts import Cable
from labkit.survey.guarding import Guarding
from labkit.survey.loading import Feed, Loading, cranks
from labkit.survey.sizing import Size, Wanted, as_json_of, size
from labkit.survey.standards import FUSE_SHARE
from labkit.survey.walk import Wiring, allowed_now, in_engine_space
from labkit.text.messages import CircuitError
from labkit.text.quantities import show


@dataclass(frozen=True)
class BoatWire:
    """A wire as it is and as it should be.

    Attributes
    ----------
    id, label, fitted : str
    load : str
        The load that asks most of it.
    amps : float
        What flows with everything on that load's fuse running. [A]
    right : Size or None
        None where no tabled wire does.
    too_thin : bool
        Whether it carries too little, or its fuse is too big for it, or the load it leads to loses
        too much and it is thinner than it should be.
    """

    id: str
    label: str
    fitted: str
    load: str
    amps: float
    right: Size | None
    too_thin: bool

    @property
    def line(self) -> str:
        """The wire in a line."""
        what = f"{self.id} ({self.label}), {self.fitted}, " if self.label else f"{self.id}, "
        head = f"{what}{show(self.amps, 'A', 3)} to {self.load}: "
        if self.right is None:
            return head + "too thin, and no wire is thick enough; bring the source nearer"
        fit = f"{self.right.mm2:g} mm2 or {self.right.awg} by {self.right.because}"
        most = f"fuse {self.right.fuse_most:g} A at most"
        return head + (f"too thin; {fit}, {most}" if self.too_thin else f"enough ({fit})")

    def as_json(self) -> dict[str, object]:
        """The wire as plain data."""
        found: dict[str, object] = {
            "id": self.id,
            "fitted": self.fitted,
            "load": self.load,
            "amps": round(self.amps, 3),
            "too_thin": self.too_thin,
        }
        return found | (as_json_of(self.right) if self.right else {})


def boat_wires(circuit: Circuit, load: str = "") -> list[BoatWire]:
    """Size every wire on the way to a load, or to any load.

    The drop is shared out over the whole way: each wire is sized as if the way were all of one
    size. An engine's cranking wires are left out; what they lose is judged while cranking.

    Raises
    ------
    CircuitError
        If there is no such load, or it has no rated current.
    """
    wiring = Wiring(circuit)
    guarding, loading = Guarding(wiring), Loading(wiring)
    feeds = [feed for feed in loading.feeds if not cranks(feed.load)]
    if load:
        part = circuit.part(load)
        feeds = [feed for feed in feeds if feed.load.id == load]
        if not feeds:
            raise CircuitError(
                [
                    f"{circuit.file}: {load} is a {part.kind} without a rated current to size "
                    "wires for; name a lamp, a motor, a heater or electronics"
                ]
            )
    cables = [p for p in circuit.parts.values() if isinstance(p, Cable) and p.size]
    made = []
    for cable in cables:
        asked = [_asked(cable, feed, guarding, loading) for feed in feeds if cable in feed.parts]
        if asked:
            made.append(max(asked, key=_need))
    return made


def not_sized(circuit: Circuit, wires: list[BoatWire]) -> list[str]:
    """Ids of the cables that no rated load asks anything of: to coils, instruments, a starter."""
    known = {wire.id for wire in wires}
    return [p.id for p in circuit.parts.values() if isinstance(p, Cable) and p.id not in known]


def _need(wire: BoatWire) -> float:
    return wire.right.least if wire.right else float("inf")


def _asked(cable: Cable, feed: Feed, guarding: Guarding, loading: Loading) -> BoatWire:
    """What one load asks of a wire on its way."""
    amps = loading.amps(cable.id, feed)
    fuses = [id for id in guarding.guards(cable.id)]
    fuse = min((guarding.rating(id) for id in fuses), default=0.0)
    wanted = Wanted(
        amps,
        feed.metres / 2,
        loading.circuit.system,
        feed.allowed_drop,
        cable.insulation,
        cable.bundle,
        in_engine_space(cable),
        fuse,
    )
    try:
        right = size(wanted)
    except CircuitError:
        right = None
    allowed = allowed_now(loading.circuit, cable.id)
    area = cable.area or 0.0
    loses = loading.drop(feed) > feed.allowed_drop and area < wanted.by_drop
    too_thin = amps > allowed or fuse > FUSE_SHARE * allowed or loses
    about = {key: "about " * (key in cable.doubts) for key in ("size", "length")}
    long = show(cable.length or 0.0, "m", 3)
    label = f"{about['size']}{cable.size}, {about['length']}{long}"
    return BoatWire(cable.id, cable.label, label, feed.load.id, amps, right, too_thin)
