"""How far a circuit keeps from its rules: each figure beside its limit, kept or broken."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from labkit.circuits.circuit import Circuit
from labkit.parts import MotorLoad, Protection
from labkit.survey import standards
from labkit.survey.guarding import Guarding
from labkit.survey.loading import Loading, cranks
from labkit.survey.serving import held_fast
from labkit.survey.standards import Rule
from labkit.survey.walk import Wiring
from labkit.text.quantities import show


@dataclass(frozen=True)
class Margin:
    """One figure of a circuit beside the limit a rule sets it.

    Attributes
    ----------
    rule : Rule
    part : str
    share : float
        The figure over its limit: above 1 the rule is broken.
    claim : str
        That it is broken, in words, whether it is or not.
    text : str
        The figures.
    """

    rule: Rule
    part: str
    share: float
    claim: str
    text: str

    @property
    def broken(self) -> bool:
        """Whether the rule is broken."""
        return self.share > 1 + 1e-9


def margins(circuit: Circuit) -> list[Margin]:
    """Return every figure that the survey judges by a limit, the worst first."""
    wiring = Wiring(circuit)
    guarding, loading = Guarding(wiring), Loading(wiring)
    found = [*_guards(guarding), *_loads(loading, guarding)]
    return sorted(found, key=lambda margin: -margin.share)


def _guards(guarding: Guarding) -> Iterator[Margin]:
    for id in guarding.wiring.protections:
        part, rating = guarding.circuit.parts[id], guarding.rating(id)
        assert isinstance(part, Protection)
        thinnest = guarding.thinnest(id)
        if thinnest is not None:
            wire, amps = thinnest
            yield Margin(
                standards.TOO_BIG,
                id,
                rating / (standards.FUSE_SHARE * amps),
                standards.TOO_BIG.claim.format(id),
                f"{id} is {rating:g} A; {wire} may carry {amps:.3g} A, and up to "
                f"{standards.FUSE_SHARE * amps:.3g} A guard it",
            )
        flows = guarding.most(id)
        yield Margin(
            standards.CANNOT_INTERRUPT,
            id,
            flows / part.interrupting,
            standards.CANNOT_INTERRUPT.claim.format(id),
            f"{show(flows, 'A', 2)} would flow, and a {part.make} {part.kind} breaks "
            f"{show(part.interrupting, 'A', 2)}",
        )


def _loads(loading: Loading, guarding: Guarding) -> Iterator[Margin]:
    system = loading.circuit.system
    for feed in loading.feeds:
        if cranks(feed.load):
            continue
        lost, id = loading.drop(feed), feed.load.id
        yield Margin(
            standards.VOLTAGE_DROP,
            id,
            lost / feed.allowed_drop,
            standards.VOLTAGE_DROP.claim.format(id),
            f"{100 * lost:.1f} % of {system:g} V is lost on the way to {id}, and "
            f"{100 * feed.allowed_drop:g} % may be",
        )
        amps, fuse = held_fast(feed, loading), feed.protection
        if amps and isinstance(fuse, Protection) and isinstance(feed.load, MotorLoad):
            opens = standards.LOCKED_SHARE * guarding.rating(fuse.id)
            yield Margin(
                standards.LOCKED_ROTOR,
                fuse.id,
                opens / amps,
                f"{fuse.id} does not open if {id} is held fast",
                f"{id} held fast draws some {amps:.3g} A, and {fuse.id} opens at {opens:.3g} A",
            )
