"""Whether what an exercise tells as seen agrees with its circuit, as far as words can be held.

A sentence is held to the circuit where it says of a load by its id, its label or the one word for
its kind what :mod:`labkit.measuring.senses` says in the same words: 'the pump stands still'.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.faults import in_use
from labkit.exercises.exercise import Exercise
from labkit.measuring.senses import sensed, words_of
from labkit.parts import Part
from labkit.solving.solver import solve


def contradictions(exercise: Exercise) -> list[str]:
    """Name what is told as seen and is so in none of the positions known, a sentence each."""
    found = []
    for number, faults in enumerate(exercise.variants):
        for sentence in exercise.told(number).seen:
            for part, word in _claims(sentence, exercise.circuit):
                does = _does(exercise, number, part.id)
                if word not in does:
                    found.append(
                        f'seen: "{sentence}": with {" + ".join(faults)}, {part.id} '
                        f"{' or '.join(does)}; tell what is so, or deal another fault"
                    )
    return found


def _claims(sentence: str, circuit: Circuit) -> Iterator[tuple[Part, str]]:
    """Parts of which a sentence says what they do, and the word for it."""
    kinds = [part.kind for part in circuit.parts.values()]
    for part in circuit.parts.values():
        names = [part.id, *([part.label] if part.label else [])]
        names += [part.kind] if kinds.count(part.kind) == 1 else []
        for word in words_of(part) if part.seen else ():
            said = "|".join(re.escape(name) for name in names)
            if re.search(rf"\b(?:{said}) {re.escape(word)}(?![\w,])", sentence, re.IGNORECASE):
                yield part, word


def _does(exercise: Exercise, number: int, id: str) -> list[str]:
    """What a part does in a variant: as found, as proven, in every way the boat is in use."""
    proof, found = exercise.proof, []
    for positions in ({}, proof.positions, proof.idle or {}, *in_use(exercise.circuit)):
        now = exercise.variant(number).circuit.with_position(**positions)
        found.append(sensed(now, solve(now))[id])
    return list(dict.fromkeys(found))
