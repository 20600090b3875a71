"""What could be wrong with a circuit: every part, every way it fails, every severity worth telling.

A candidate stands for an interval of severities, laid out on a log scale: a joint of 0.5 ohm
answers for everything from 0.32 to 0.71 ohm. Weights are prior beliefs relative to one another,
from the parts' modes (common practice, no source); the instructor may restrict or reweigh them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from types import MappingProxyType

from labkit.circuits.circuit import Circuit
from labkit.circuits.fault_text import parse_fault
from labkit.parts import ELSEWHERE, KINDS, UNIVERSAL, Cable, Effect, Fault, Mode, Part
from labkit.parts.conductors import awg_area
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import FRACTION, RESISTANCE, show

LEAST_LOSS, MOST_LOSS = 0.02, 30.0
"""Series resistances worth a candidate: these multiples of system voltage over current in use."""

MOST_PAIRS = 1500
"""Of two faults at once, the likeliest so many are candidates."""

PIECES = (6, 4, 3, 2, 1)
"""Pieces that the severities of a fault are cut into where it stands beside another."""

HEALTHY = "nothing wrong"
"""Name of the candidate without a fault."""

NO_PARTS: Mapping[str, Part] = MappingProxyType({})


@dataclass(frozen=True)
class Candidate:
    """One explanation: a fault, or several together, in an interval of severities.

    Attributes
    ----------
    faults : tuple of Fault
        With typical amounts; empty for the healthy circuit.
    weight : float
        Prior belief, relative to the other candidates.
    spans : tuple of (float, float) or None
        For each fault the amounts it answers for, in SI units; None where it has no amount or
        just the one.
    called : str
        Its name, where its faults only stand for others that show alike.
    """

    faults: tuple[Fault, ...]
    weight: float = 1.0
    spans: tuple[tuple[float, float] | None, ...] = ()
    called: str = ""

    def __str__(self) -> str:
        return self.called or " + ".join(map(str, self.faults)) or HEALTHY

    @property
    def name(self) -> str:
        """Parts and modes without their severity: what a diagnosis has to name."""
        return self.called or " + ".join(map(family, self.faults)) or HEALTHY

    def ends(self) -> tuple[tuple[Fault, ...], tuple[Fault, ...]]:
        """The mildest and the worst amounts it answers for, as faults."""
        return self.at(0.0), self.at(1.0)

    def at(self, share: float) -> tuple[Fault, ...]:
        """Its faults this far from the mildest to the worst it answers for."""
        return tuple(
            f if span is None else _with_amount(f, _between(f, span, share))
            for f, span in zip(self.faults, _spans_of(self), strict=True)
        )

    def part(self, start: float, end: float) -> Candidate:
        """The candidate that answers for a part of its severities only."""
        spans = tuple(
            None if span is None else (_between(f, span, start), _between(f, span, end))
            for f, span in zip(self.faults, _spans_of(self), strict=True)
        )
        middle = self.at((start + end) / 2)
        return Candidate(middle, self.weight * (end - start), spans, self.called)


def family(fault: Fault) -> str:
    """Part and mode of a fault, without its severity: 'X1 resistance', 'W6 short to'."""
    if fault.to:
        return f"{fault.part} {fault.mode}"
    return str(replace(fault, amount=""))


def _between(fault: Fault, span: tuple[float, float], share: float) -> float:
    """Severity this far from the least to the greatest: by ratio, or for % evenly."""
    low, high = span
    if fault.amount.endswith("%"):
        return low + (high - low) * share
    return float(low * (high / low) ** share)


def _with_amount(fault: Fault, value: float) -> Fault:
    written = f"{100 * value:.12g} %" if fault.amount.endswith("%") else f"{value:.12g} ohm"
    return replace(fault, amount=written, value=value)


def candidates(
    circuit: Circuit,
    only: Iterable[str] = (),
    weights: Mapping[str, float] | None = None,
    healthy: float = 0.0,
    pairs: float = 0.0,
    also: Iterable[str] = (),
) -> tuple[Candidate, ...]:
    """List what could be wrong with a circuit.

    Parameters
    ----------
    circuit : Circuit
        Its own faults are left out of account.
    only : iterable of str
        Keep these alone: parts ('X1'), modes ('open'), or both ('X1 open').
    weights : mapping of str to float
        Factors on the usual weights, under keys as in `only`; all that fit are multiplied.
    healthy : float
        Prior weight of nothing being wrong, in the same measure as the modes'; 0 leaves it out.
    pairs : float
        Chance of a second fault beside the first; 0 leaves pairs out. Severities are laid out
        more coarsely in a pair, two faults of one part are none, and the likeliest MOST_PAIRS stay.
    also : iterable of str
        Suspected too: faults that join a part to another place, 'W6:2 short W5:2'.

    Returns
    -------
    tuple of Candidate
        Weights add up to 1.

    Raises
    ------
    CircuitError
        If a key names no part and no mode here, or nothing is left.
    """
    sound = circuit.without_faults()
    weights = weights or {}
    kept = tuple(only)
    _check_keys(sound, (*kept, *weights))
    made: list[Candidate] = []
    listed = [(part, mode, "") for part in sound.parts.values() for mode in part.modes]
    for text in also:
        joined = sound.with_fault(text).faults[-1]
        listed.append((sound.parts[joined.part], joined.mode, str(replace(joined, amount=""))))
    for part, mode, text in listed:
        spec, keys = part.mode(mode), (part.id, mode, f"{part.id} {mode}")
        weight = spec.weight * math.prod(weights.get(key, 1.0) for key in keys)
        if weight > 0 and (not kept or any(key in kept for key in keys)):
            made += _of_mode(sound, part, spec, weight, text or f"{part.id} {mode}")
    if pairs:
        made += _pairs(made, pairs)
    if healthy:
        made.append(Candidate((), healthy))
    total = sum(c.weight for c in made)
    if not total:
        raise CircuitError(["no candidate is left; name a part or a mode the circuit has"])
    return tuple(replace(c, weight=c.weight / total) for c in made)


def describe(what: Fault | Candidate | str, circuit: Circuit) -> str:
    """Say what is wrong in plain words: 'X1 (crimped splice): corroded, 0.8 ohm'."""
    if isinstance(what, Candidate):
        return " and ".join(describe(f, circuit) for f in what.faults) or HEALTHY
    fault = circuit.with_fault(what).faults[-1] if isinstance(what, str) else what
    part = circuit.part(fault.part)
    says = part.mode(fault.mode).says
    place = f" at terminal {fault.terminal}" if fault.terminal else ""
    amount = f", {fault.amount}" if fault.amount else ""
    to = f" to {fault.to}" if fault.to else ""
    return f"{fault.part} ({part.label or part.kind}): {says}{place}{to}{amount}"


def learner_words(elsewhere: bool = False) -> dict[str, str]:
    """What a learner may call a failure, to what a file calls it; those between parts, too."""
    kinds = [kind.modes for kind in KINDS.values()]
    known = [*kinds, ELSEWHERE] if elsewhere else kinds
    return {mode.word: mode.name for modes in known for mode in modes.values()}


def said(name: str, parts: Mapping[str, Part] = NO_PARTS) -> str:
    """Say a name as the list does that a learner chooses from: 'X1 high resistance'.

    Two at once are 'X1 high resistance with W2 open'; a leak is said without its terminal. What a
    failure is called may depend on the part: a breaker has tripped where a fuse has blown.
    """
    found = []
    for fault in name.split(" + "):
        place, _, mode = fault.partition(" ")
        id = place.partition(":")[0]
        kinds = [parts[id].modes] if id in parts else [kind.modes for kind in KINDS.values()]
        words = (modes[mode].word for modes in (*kinds, UNIVERSAL) if mode in modes)
        found.append(f"{id} {next(words, mode)}".rstrip())
    return " with ".join(found)


# -- severities -----------------------------------------------------------------------------


def ohms_in_use(circuit: Circuit, part: Part) -> float | None:
    """System voltage over the part's largest current with everything on. [ohm]"""
    ways = part.ways()
    keys = [part.id] if len(ways) == 1 else [f"{part.id} {a}-{b}" for a, b in ways]
    amps = [abs(flow.get(key) or 0.0) for flow in _flows_in_use(circuit) for key in keys]
    most = max(amps, default=0.0)
    return circuit.system / most if most > 1e-3 else None


_cache: dict[int, tuple[Circuit, list[Mapping[str, float | None]]]] = {}


def _flows_in_use(circuit: Circuit) -> list[Mapping[str, float | None]]:
    kept = _cache.get(id(circuit))
    if kept is None or kept[0] is not circuit:
        _cache.clear()
        flows = [solve(circuit.with_position(**on)).amps for on in in_use(circuit)]
        kept = _cache[id(circuit)] = circuit, flows
    return kept[1]


def in_use(circuit: Circuit) -> list[dict[str, str]]:
    """Positions with every plain switch on and every connector joined.

    One for each position of a changeover switch, the others of them as they stand.
    """
    several = {p.id: p.in_use() for p in circuit.parts.values()}
    on = {id: words[0] for id, words in several.items() if len(words) == 1}
    choice = {id: words for id, words in several.items() if len(words) > 1}
    return [{**on, id: word} for id, words in choice.items() for word in words] or [on]


def _of_mode(circuit: Circuit, part: Part, spec: Mode, weight: float, text: str) -> list[Candidate]:
    amounts = _amounts(part, spec, ohms_in_use(circuit, part))
    if not amounts:
        return [] if spec.amount == "size" else [Candidate((Fault(part.id, spec.name),), weight)]
    faults = [parse_fault(f"{text} {amount}", circuit.parts) for amount in amounts]
    spans = _spans([f.value or 0.0 for f in faults], spec)
    share = weight / len(faults)
    return [Candidate((f,), share, (span,)) for f, span in zip(faults, spans, strict=True)]


def _amounts(part: Part, spec: Mode, scale: float | None) -> list[str]:
    """Amounts of a mode, mildest first, as they are written."""
    if spec.amount is None:
        return []
    if spec.amount == "size":
        return _thinner(part)
    assert not isinstance(spec.amount, str)
    if spec.amount is RESISTANCE:
        values = [RESISTANCE.parse(a) for a in spec.amounts]
        if spec.effect is Effect.ADDS and scale is not None:
            values = list(_series(LEAST_LOSS * scale, MOST_LOSS * scale, (1, 2, 5)))
        elif spec.effect in (Effect.ADDS, Effect.LEAKS, Effect.JOINS):
            values = list(_series(min(values), max(values), (1, 3)))
        return [f"{v:g} ohm" if 0.1 <= v < 1 else show(v, "ohm", 2) for v in sorted(values)]
    return sorted(spec.amounts, key=spec.amount.parse)


def _series(low: float, high: float, steps: tuple[int, ...]) -> Iterable[float]:
    """Round numbers from low to high: 1, 2, 5 and their decades."""
    for decade in range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1):
        for step in steps:
            value = step * 10.0**decade
            if low * 0.99 <= value <= high * 1.01:
                yield value


def _thinner(part: Part) -> list[str]:
    if not isinstance(part, Cable) or part.area is None:
        return []
    area = part.area
    even = [g for g in range(-2, 24, 2) if awg_area(g) < 0.85 * area]
    return [f"{g} AWG" if g > 0 else f"{1 - g}/0 AWG" for g in even[:5]]


def _spans(values: list[float], spec: Mode) -> list[tuple[float, float] | None]:
    """Interval around each amount, meeting its neighbours half way: by ratio, or for % evenly."""
    if spec.amount is FRACTION:
        if len(values) < 2:
            return [None] * len(values)
        middles = [(a + b) / 2 for a, b in pairwise(values)]
        first, last = values[0] - (middles[0] - values[0]), values[-1] + values[-1] - middles[-1]
        edges = [max(first, 0.0), *middles, min(last, 0.95)]
        return list(pairwise(edges))
    if spec.amount is not RESISTANCE:
        return [None] * len(values)
    if len(values) == 1 or max(b / a for a, b in pairwise(values)) > 100:
        return [(v / 2, v * 2) for v in values]  # apart from one another
    middles = [math.sqrt(a * b) for a, b in pairwise(values)]
    first, last = values[0] ** 2 / middles[0], values[-1] ** 2 / middles[-1]
    return list(pairwise([first, *middles, last]))


# -- two at once ----------------------------------------------------------------------------


def _pairs(singles: list[Candidate], chance: float) -> list[Candidate]:
    """Pairs of parts and modes, their severities in as many pieces as leave MOST_PAIRS in all."""
    families: dict[str, list[Candidate]] = {}
    for single in singles:
        families.setdefault(single.name, []).append(single)
    total = sum(single.weight for single in singles)
    found: list[Candidate] = []
    for pieces in PIECES:
        cut = [_piece(same) for of in families.values() for same in _in_pieces(of, pieces)]
        couples = [(a, b) for a, b in combinations(cut, 2) if a.faults[0].part != b.faults[0].part]
        if len(couples) <= MOST_PAIRS:
            break
    for a, b in couples:
        weight = chance * a.weight * b.weight / total
        found.append(Candidate((*a.faults, *b.faults), weight, (*_spans_of(a), *_spans_of(b))))
    return sorted(found, key=lambda c: -c.weight)[:MOST_PAIRS]


def _in_pieces(same: list[Candidate], pieces: int) -> Iterable[list[Candidate]]:
    """Cut severities into so many pieces at most, those of a piece beside one another."""
    size = math.ceil(len(same) / pieces)
    return (same[n : n + size] for n in range(0, len(same), size))


def _piece(same: list[Candidate]) -> Candidate:
    """One candidate in place of severities beside one another."""
    (first,), (last,) = _spans_of(same[0]), _spans_of(same[-1])
    span = (first[0], last[1]) if first and last else None
    weight = sum(candidate.weight for candidate in same)
    return Candidate(same[len(same) // 2].faults, weight, (span,))


def _spans_of(candidate: Candidate) -> tuple[tuple[float, float] | None, ...]:
    return candidate.spans or (None,) * len(candidate.faults)


def _check_keys(circuit: Circuit, keys: Iterable[str]) -> None:
    problems = [problem for key in keys if (problem := suspect_problem(circuit, key))]
    if problems:
        raise CircuitError(problems)


def suspect_problem(circuit: Circuit, key: str, both: bool = False) -> str:
    """Say why a key names nothing that could be wrong with a circuit; '' where it does.

    Parameters
    ----------
    circuit : Circuit
    key : str
        A part ('X1'), a mode ('open'), or both ('X1 open').
    both : bool
        Whether it must be both.
    """
    parts = circuit.parts
    own = [(part.id, mode) for part in parts.values() for mode in part.modes]
    known = [*own, *((id, mode) for mode in ELSEWHERE for id in parts)]
    modes = list(dict.fromkeys(mode for _, mode in known))
    full = [f"{id} {mode}" for id, mode in known]
    if key in full or (not both and (key in parts or key in modes)):
        return ""
    id = key.partition(" ")[0]
    of_part = [name for name in full if name.startswith(f"{id} ")]
    near = of_part or (parts if any(letter.isdigit() for letter in id) else modes)
    hint = did_you_mean(key if of_part else id, near, 12)
    if both:
        return f"this circuit has no '{key}'; write a part and a mode; {hint}"
    return f"this circuit has no part and no mode '{key}'; {hint}"
