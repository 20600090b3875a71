"""Are the wires guarded: is there a fuse, is it near, is it made, can it break what may flow?"""

from __future__ import annotations

from collections.abc import Iterator

from labkit.parts import Battery, Breaker, Changeover, Fuse, Protection, Relay
from labkit.parts.fuse_kinds import INTERRUPTING, is_made, kinds_of, largest_made
from labkit.parts.traits import Trait
from labkit.survey import standards
from labkit.survey.findings import Finding
from labkit.survey.loading import cranks
from labkit.survey.walk import Wiring, Zone, allowed_now, area_now
from labkit.text.quantities import show


class Guarding:
    """The protection of a circuit, looked at from every source outward."""

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.circuit = wiring.circuit
        self._starters = [p.id for p in self.circuit.parts.values() if cranks(p)]
        self._zones = {id: wiring.behind_source(id) for id in wiring.sources}
        self._cranking = frozenset(
            cable
            for id in self._zones
            for starter in self._starters
            for cable in wiring.ways_to(f"{id}:+", starter)
        )

    def findings(self) -> Iterator[Finding]:
        """Everything that is wrong with how the wires are guarded."""
        seen: set[tuple[str, str]] = set()
        for id in self._zones:
            for finding in (*self._bare(id), *self._far(id)):
                if (finding.rule.name, finding.part) not in seen:
                    seen.add((finding.rule.name, finding.part))
                    yield finding
        for id in self.wiring.protections:
            yield from self._made(id)
            yield from self._interrupts(id)
            yield from self._too_big(id)

    # -- from the source to the first protection ----------------------------------------------

    def _bare(self, id: str) -> Iterator[Finding]:
        """Wires and loads that no fuse guards."""
        zone = self._zones[id]
        if self._limits_itself(id, zone):
            return
        guarded = {c for p in zone.protections for c in self._way(zone, p)}
        ends = [load for load in zone.loads if load not in self._starters]
        ends = [load for load in ends if not self._on_cranking_way(load)]
        for load in ends:
            way = self._way(zone, load)
            yield self._unprotected(id, way[0] if way else load, f"on its way to {load}")
            guarded |= set(way)
        for terminal in zone.sources:
            other = terminal.split(":")[0]
            way = [c for c in self._way(zone, other) if c not in self._cranking]
            if terminal.endswith(":+") and way:
                yield self._unprotected(id, way[0], f"on its way to {other}")
            guarded |= set(way) if terminal.endswith(":+") else set(zone.cables)
        for cable in zone.cables:
            if cable not in guarded and cable not in self._cranking:
                yield self._unprotected(id, cable, "")

    def _unprotected(self, source: str, part: str, where: str) -> Finding:
        what = f"nothing guards it against {source}"
        return Finding(
            standards.NO_PROTECTION,
            part,
            f"{what} {where}".strip(),
            f"fit a fuse or breaker at {source}'s positive post, no larger than 150 % of what the "
            "thinnest wire behind it may carry",
        )

    def _far(self, id: str) -> Iterator[Finding]:
        """First protections with too much bare wire before them."""
        zone = self._zones[id]
        if self._limits_itself(id, zone):
            return
        far: dict[tuple[str, ...], list[str]] = {}
        for protection, metres in zone.protections.items():
            bare = [c for c in self._way(zone, protection) if c not in self._cranking]
            if bare and metres > self._near(id, bare):
                far.setdefault(tuple(bare), []).append(protection)
        for way, protections in far.items():
            if len(protections) > 1:  # a feed to several: what is missing is its own
                yield self._unprotected(id, way[0], f"before {' and '.join(protections)}")
            else:
                yield self._moved(id, protections[0], ", ".join(way))

    def _moved(self, id: str, protection: str, wire: str) -> Finding:
        """Say of one protection that it stands too far from a source, or at its other end."""
        metres = self._zones[id].protections[protection]
        nearer = next(
            (s for s, z in self._zones.items() if z.protections.get(protection, metres) < metres),
            "",
        )
        if not nearer:
            return Finding(
                standards.TOO_FAR,
                protection,
                f"{show(metres, 'm', 3)} of wire ({wire}) lie between {id} and it with nothing "
                "to guard them",
                f"move it to {id}'s post, or within 7 in (18 cm) of it; in a sheath of its own "
                "up to 72 in (1.8 m) from a battery, 40 in (1 m) from anything else",
            )
        if isinstance(self.circuit.parts[nearer], Battery):
            return self._unprotected(id, wire.split(",")[0], f"before {protection}")
        return Finding(
            standards.WRONG_END,
            protection,
            f"it sits at {nearer}'s end of {wire}; what can burn that wire is {id}, "
            f"{show(metres, 'm', 3)} away",
            f"move it to the other end of {wire}, at {id}'s post",
        )

    def _near(self, id: str, way: list[str]) -> float:
        sheathed = all(getattr(self.circuit.parts[c], "sheathed", False) for c in way)
        if not sheathed:
            return standards.NEAR
        battery = isinstance(self.circuit.parts[id], Battery)
        return standards.NEAR_BATTERY_SHEATHED if battery else standards.NEAR_SHEATHED

    def _way(self, zone: Zone, goal: str) -> list[str]:
        """Cables of the zone on the way to a part, the nearest first."""
        on_the_way = self.wiring.ways_to(zone.start, goal)
        return [cable for cable in zone.cables if cable in on_the_way]

    def _on_cranking_way(self, load: str) -> bool:
        """Whether a part is the solenoid that feeds a starter."""
        part = self.circuit.parts[load]
        return isinstance(part, Relay) and bool(self._starters)

    def _limits_itself(self, id: str, zone: Zone) -> bool:
        """Whether a charger gives no more than every wire before the first fuse may carry."""
        part = self.circuit.parts[id]
        limit = getattr(part, "limit", None)
        if Trait.CHARGES not in part.traits or limit is None:
            return False
        return all(self.allows(cable) >= limit for cable in zone.cables)

    # -- the protection itself ----------------------------------------------------------------

    def _made(self, id: str) -> Iterator[Finding]:
        fuse = self.circuit.parts[id]
        rating = self.rating(id)
        if not isinstance(fuse, Fuse) or is_made(fuse.form, rating) or fuse.doubts:
            return  # of a rating in doubt the middle is taken, which need not be made
        below = largest_made(rating, (fuse.form,))
        smaller = f"the next smaller {fuse.form} fuse is {below:g} A" if below else ""
        other = self._kinds(id)
        needed = f"; where the load needs {rating:g} A, {other}" if smaller and other else other
        yield Finding(
            standards.NOT_MADE,
            id,
            f"no {fuse.form} fuse of {rating:g} A is made",
            f"{smaller}{needed}" or "take a rating that is made",
        )

    def _kinds(self, id: str) -> str:
        """Kinds made in its rating that break what may flow there, as a remedy."""
        amps, breaker = self.most(id), isinstance(self.circuit.parts[id], Breaker)
        made = ("thermal", "magnetic") if breaker else kinds_of(self.rating(id))
        fit = [kind for kind in made if INTERRUPTING[kind] >= amps]
        return f"fit another kind ({', '.join(fit[:4])})" if fit else ""

    def _interrupts(self, id: str) -> Iterator[Finding]:
        part = self.circuit.parts[id]
        assert isinstance(part, Protection)
        amps = self.most(id)
        if amps > part.interrupting:
            yield Finding(
                standards.CANNOT_INTERRUPT,
                id,
                f"a short behind it draws some {show(amps, 'A', 2)}, and a {part.make} "
                f"{part.kind} is made to break {show(part.interrupting, 'A', 2)}",
                f"{self._kinds(id) or 'fit a kind that breaks more'}, or write what is printed on "
                "it as interrupts",
            )

    def most(self, id: str) -> float:
        """Greatest current that a short on either side can draw through it. [A]"""
        zones = self.wiring.fed_through(id)
        return max((self.prospective(id, zone) for zone in zones), default=0.0)

    def prospective(self, id: str, zone: Zone) -> float:
        """Current that the batteries drive through a protection into a short behind it. [A]

        Its own cold resistance counts: until it melts, it is in the way.
        """
        part, total, selected = self.circuit.parts[id], 0.0, [0.0]
        near = next(t for t in (f"{id}:{n}" for n in part.terminals[:2]) if t != zone.start)
        for feeder in zone.feeders:
            source = self.circuit.parts[feeder]
            way = self.wiring.way(f"{feeder}:+", near)
            if way is None or any(p.id == id for p in way):
                continue
            if isinstance(source, Battery):
                volts = getattr(source, "emf", None) or 1.06 * self.circuit.system
                ohms = source.own_resistance + part.own_resistance
                amps = volts / (ohms + sum(p.own_resistance for p in way))
            else:
                amps = getattr(source, "limit", None) or 0.0
            if any(isinstance(p, Changeover) and not p.makes_both for p in way):
                selected.append(amps)  # one source or the other, never both
            else:
                total += amps
        return total + max(selected)

    def _too_big(self, id: str) -> Iterator[Finding]:
        rating, thinnest = self.rating(id), self.thinnest(id)
        if thinnest is None or rating <= standards.FUSE_SHARE * thinnest[1] * (1 + 1e-9):
            return
        wire, amps = thinnest
        yield Finding(
            standards.TOO_BIG,
            id,
            f"{rating:g} A is more than 150 % of what {wire}, the thinnest wire behind it, "
            f"may carry: {amps:.3g} A",
            f"fit {largest_made(standards.FUSE_SHARE * amps):g} A or less, or replace {wire}",
        )

    def thinnest(self, id: str) -> tuple[str, float] | None:
        """Return the wire that a protection must guard and that may carry least. [A]

        Cranking wires are exempt, and so are those that nothing feeds with more than they stand.
        """
        allowed: dict[str, float] = {}
        for zone in self.wiring.fed_through(id):
            wires = [w for w in zone.wires if w not in self._cranking]
            here = {w: self.allows(w) for w in wires if area_now(self.circuit, w)}
            if here and not self._fed_little(zone, standards.FUSE_SHARE * min(here.values())):
                allowed |= here
        return min(allowed.items(), key=lambda item: item[1], default=None)

    def _fed_little(self, zone: Zone, most: float) -> bool:
        """Whether all that can feed a zone is limited to what its wires stand."""
        limits = [getattr(self.circuit.parts[f], "limit", None) for f in zone.feeders]
        return all(limits) and sum(limit for limit in limits if limit) <= most

    def guards(self, cable: str) -> list[str]:
        """Ids of the fuses and breakers that a cable lies directly behind."""
        return [
            id
            for id in self.wiring.protections
            if any(cable in zone.wires for zone in self.wiring.fed_through(id))
        ]

    # -- figures ------------------------------------------------------------------------------

    def rating(self, id: str) -> float:
        """Rating of what is really fitted. [A]"""
        part = self.circuit.parts[id]
        assert isinstance(part, Protection)
        return float(part.fitted(self.circuit.state_of(id)))

    def allows(self, id: str) -> float:
        """Current a cable may carry for good as it is and where it lies. [A]"""
        return allowed_now(self.circuit, id)
