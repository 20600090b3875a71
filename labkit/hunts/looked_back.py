"""What can be said of a hunt that is over without weighing its readings."""

from __future__ import annotations

from collections import Counter

from labkit.aboard.safety.kinds import HAZARDS
from labkit.diagnosis.faults import family, said
from labkit.exercises.suspects import plain
from labkit.hunts.hunt import Hunt, Named


def outcome(hunt: Hunt) -> str:
    """Whether the repair is proven, and by what."""
    if hunt.proven is None:
        return "No repair was proven."
    return f"{'Repair proven' if hunt.proven.ok else 'Not proven'}: {hunt.proven.text}"


def cause(hunt: Hunt) -> str:
    """Why it failed; '' until the repair is proven."""
    known = hunt.proven is not None and hunt.proven.ok and hunt.dealt.cause
    return f"Why it failed: {hunt.dealt.cause}" if known else ""


def named_words(hunt: Hunt, steps: int) -> str:
    """What was named, and how well so many steps bore it out."""
    parts = hunt.dealt.circuit.parts
    wrong = dict.fromkeys(said(n.what, parts) for n in hunt.named if n.verdict.right is False)
    right = {n.what: n for n in hunt.named if n.verdict.right}
    same = hunt.dealt.suspects.same_as
    causes = [plain(family(fault)) for fault in hunt.dealt.causes]
    missed = [
        said(what, parts) for what in causes if not right.keys() & set(map(plain, same(what)))
    ]
    lines = [f"Named wrongly on the way: {', '.join(wrong)}."] if wrong else []
    lines += [f"Named rightly: {', '.join(said(what, parts) for what in right)}."] if right else []
    lines += [f"Not named: {', '.join(missed)}."] if missed and hunt.named else []
    lines += dict.fromkeys(_proof(named, steps) for named in right.values() if named.proof)
    return " ".join(lines) or "Nothing was named, so nobody can say whether you knew."


def _proof(named: Named, steps: int) -> str:
    """Whether it was known or lucky, and by which step where more were taken afterwards."""
    later = named.proved is not None and named.steps < steps
    return f"By step {named.steps}, when you named it: {named.proof}" if later else named.proof


def hazard_words(hunt: Hunt) -> str:
    """Whether it was made safe, and what was dangerous."""
    kinds = Counter(hazard.kind for hazard in hunt.bench.hazards)
    safe = f"{hunt.safe} " if hunt.safe.hands else ""
    if not kinds:
        return f"{safe}No hazards."
    said = (f"{HAZARDS[k].words}{f', {n} times' if n > 1 else ''}" for k, n in kinds.items())
    return f"{safe}Hazards: {'; '.join(said)}."
