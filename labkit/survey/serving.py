"""Are the loads served: enough voltage, no wire too busy, a fuse that opens if a motor is held?"""

from __future__ import annotations

from collections.abc import Iterator

from labkit.circuits.circuit import NEGATIVE
from labkit.parts import Cable, Electronics, Joint, MotorLoad, Protection
from labkit.parts.fuse_kinds import largest_made
from labkit.parts.traits import Trait
from labkit.survey import standards
from labkit.survey.findings import Finding
from labkit.survey.guarding import Guarding
from labkit.survey.loading import Feed, Loading, cranks
from labkit.survey.sizing import Wanted, size
from labkit.survey.walk import Wiring, area_now
from labkit.text.messages import CircuitError
from labkit.text.quantities import show


def findings(wiring: Wiring, guarding: Guarding) -> Iterator[Finding]:
    """Everything that is wrong with how loads are served and how the parts are laid out."""
    loading = Loading(wiring)
    for feed in loading.feeds:
        if not cranks(feed.load):
            yield from _drop(feed, loading)
            yield from _locked(feed, loading, guarding)
    yield from _busy(loading, guarding)
    yield from _thin(loading)
    yield from _reversed(wiring)
    yield from _rings(wiring)


def _drop(feed: Feed, loading: Loading) -> Iterator[Finding]:
    lost, allowed = loading.drop(feed), feed.allowed_drop
    if lost <= allowed * (1 + 1e-9):
        return
    system = loading.circuit.system
    amps = max(loading.amps(p.id, feed) for p in feed.parts)
    try:
        found = size(Wanted(amps, feed.metres / 2, system, allowed))
        right = f"{found.mm2:g} mm2 ({found.awg}) all the way would do"
    except CircuitError:
        right = "no wire is thick enough; bring the source nearer"
    yield Finding(
        standards.VOLTAGE_DROP,
        feed.load.id,
        f"{100 * lost:.1f} % of {system:g} V is lost on its way, out and back, where "
        f"{100 * allowed:g} % is the limit",
        right,
    )


def _locked(feed: Feed, loading: Loading, guarding: Guarding) -> Iterator[Finding]:
    """A motor held fast whose fuse carries it for ever."""
    amps, fuse = held_fast(feed, loading), feed.protection
    if not amps or not isinstance(fuse, Protection):
        return
    rating = guarding.rating(fuse.id)
    if amps >= standards.LOCKED_SHARE * rating:
        return
    yield Finding(
        standards.LOCKED_ROTOR,
        fuse.id,
        f"{feed.load.id} held fast draws some {amps:.3g} A, {amps / rating:.2f} times its "
        f"{rating:g} A, which it may carry for hours while the motor burns",
        f"fit {largest_made(amps / standards.LOCKED_SHARE):g} A or less, or a motor with a thermal "
        "cut-out",
    )


def held_fast(feed: Feed, loading: Loading) -> float:
    """Current a motor draws held fast; 0 for what does not turn. [A]"""
    motor, system = feed.load, loading.circuit.system
    if not isinstance(motor, MotorLoad):
        return 0.0
    source = loading.circuit.parts[feed.source].own_resistance
    return float(system / (source + feed.ohms + motor.winding(system)))


def _busy(loading: Loading, guarding: Guarding) -> Iterator[Finding]:
    starters = [feed for feed in loading.feeds if cranks(feed.load)]
    exempt = {part.id for feed in starters for part in feed.parts}
    for cable, amps in loading.busiest().items():
        allowed = guarding.allows(cable)
        if amps > allowed and cable not in exempt:
            yield Finding(
                standards.OVERLOADED,
                cable,
                f"its loads draw {amps:.3g} A and it may carry {allowed:.3g} A for good",
                "fit a thicker wire, or part its loads",
            )


def _thin(loading: Loading) -> Iterator[Finding]:
    """Wires thinner than what may be laid at all, whatever they carry: they break, and tear out."""
    amps: dict[str, float] = {}
    for feed in loading.feeds:
        exempt = isinstance(feed.load, Electronics) and feed.amps < standards.ELECTRONIC
        for part in feed.parts:
            amps[part.id] = amps.get(part.id, 0.0) + (0.0 if exempt else feed.amps)
    for part in loading.circuit.parts.values():
        area = area_now(loading.circuit, part.id)
        if not isinstance(part, Cable) or not area or (part.length or 0.0) <= standards.PIGTAIL:
            continue
        least = standards.LEAST_SHEATHED if part.sheathed else standards.LEAST_ALONE
        if area < least * (1 - 1e-9) and amps.get(part.id, 1.0):
            yield Finding(
                standards.TOO_THIN,
                part.id,
                f"{1e6 * area:.2g} mm2 and {show(part.length or 0.0, 'm', 2)} long, where "
                f"{1e6 * least:g} mm2 is the least",
                "lay 1.5 mm2 (16 AWG), or put it in a sheath with others, 0.75 mm2 at least"
                if not part.sheathed
                else "lay 1 mm2 (16 AWG)",
            )


def _reversed(wiring: Wiring) -> Iterator[Finding]:
    for id in wiring.sources:
        if wiring.way(f"{id}:+", NEGATIVE) is not None:
            yield Finding(
                standards.REVERSED,
                id,
                f"its positive post is wired to {NEGATIVE}: it stands the wrong way round",
                f'let its run go from = "{NEGATIVE}" to the positive side',
            )


def _rings(wiring: Wiring) -> Iterator[Finding]:
    """Studs and posts with more rings on them than they hold."""
    circuit = wiring.circuit
    for junction in circuit.junctions:
        ends = [member for member in junction.members if ":" in member]
        studs = [m.split(":")[0] for m in ends if _is_stud(wiring, m)]
        named = any(word in junction.name.lower() for word in ("stud", "post"))
        if junction.name == NEGATIVE or not (studs or named):
            continue
        rings = [m for m in ends if m.split(":")[0] not in studs]
        if len(rings) > standards.MOST_RINGS:
            yield Finding(
                standards.RINGS,
                studs[0] if studs else rings[0].split(":")[0],
                f"{len(rings)} rings lie on one stud ({', '.join(rings)})",
                f"at most {standards.MOST_RINGS}; move some to a bus bar",
            )


def _is_stud(wiring: Wiring, terminal: str) -> bool:
    part = wiring.circuit.parts[terminal.split(":")[0]]
    words = part.label.lower()
    post = Trait.SOURCE in part.traits and terminal.endswith(":+")
    return post or (isinstance(part, Joint) and ("stud" in words or "stack" in words))
