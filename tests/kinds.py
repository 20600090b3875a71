"""What tests over all kinds of part need: an example of each, and kinds sorted by what they are."""

from __future__ import annotations

from labkit.parts import KINDS, Part, Trait


def example_of(kind: type[Part], number: int = 1, **keys: object) -> Part:
    """A part of a kind, of its own example's keys and these."""
    return kind(f"{kind.letters[0]}{number}", **{**kind.example, **keys})


def with_traits(trait: Trait, ways: int = 1) -> tuple[str, ...]:
    """Kinds with a trait and so many ways."""
    return tuple(
        kind for kind, made in KINDS.items() if trait in made.traits and _ways(made) == ways
    )


def passing() -> tuple[str, ...]:
    """Kinds of one way that only pass on what flows: no source, no load, no junction."""
    other = Trait.SOURCE | Trait.LOAD | Trait.JUNCTION | Trait.GALVANIC
    return tuple(
        kind for kind, made in KINDS.items() if not made.traits & other and _ways(made) == 1
    )


def several_ways() -> tuple[str, ...]:
    """Kinds of several ways."""
    return tuple(kind for kind, made in KINDS.items() if _ways(made) > 1)


def _ways(kind: type[Part]) -> int:
    return len(example_of(kind).ways())
