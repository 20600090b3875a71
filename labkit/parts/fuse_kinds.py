"""Which fuses are made: ratings and interrupting capacity of each kind.

Kinds: glass (1/4 x 1 1/4 in), blade (ISO 8820-3 type C), maxi (type E), and those that are bolted
down: midi and mega (strip fuses, ISO 8820-5 SF30 and SF51), anl, terminal (on the battery's own
post), class T.
"""

from __future__ import annotations

RATINGS: dict[str, tuple[float, ...]] = {
    "glass": (0.25, 0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 7, 7.5, 8, 10, 12, 15, 20, 25, 30),
    "blade": (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40),
    "maxi": (20, 25, 30, 35, 40, 50, 60, 70, 80, 100),
    "midi": (30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200),
    "mega": (40, 60, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500),
    "anl": (35, 40, 50, 60, 80, 100, 130, 150, 175, 200, 225, 250, 300, 325, 350, 400, 500, 600,
            675, 750),
    "terminal": (30, 40, 50, 60, 75, 80, 90, 100, 125, 150, 175, 200, 225, 250, 300),
    "class T": (1, 3, 6, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150,
                175, 200, 225, 250, 300, 350, 400),
}  # fmt: skip  # rows that a reader compares
"""Kind to the ratings it is made in. [A]

The range of each kind is that of a marine maker's selection chart of 2015 (glass to 30 A, maxi to
80 A, midi 30 to 200 A, terminal 30 to 300 A, anl 35 to 400 A); the steps between, and what lies
beyond those ranges, from memory.
"""

INTERRUPTING: dict[str, float] = {
    "glass": 1000.0,
    "blade": 1000.0,
    "maxi": 1000.0,
    "midi": 2000.0,
    "mega": 2000.0,
    "anl": 2700.0,
    "terminal": 5000.0,
    "class T": 20000.0,
    "thermal": 900.0,
    "magnetic": 3000.0,
}
"""Kind of fuse or breaker to what it can interrupt on 12 or 24 V. [A]

blade, maxi: ISO 8820-3, 32 V, as on makers' sheets. thermal: US federal item data of a 30 A, 30 V
breaker, NSN 5925-00-752-6909. The others from memory, the lower figure where makers differ (anl
2.7 to 6 kA, terminal 10 kA on 12 V and 5 kA on 32 V): what is printed on the part holds, and is
written as its key `interrupts`.
"""


def is_made(kind: str, rating: float) -> bool:
    """Tell whether a fuse of this kind and rating [A] can be bought; breakers always can."""
    return kind not in RATINGS or any(abs(rating - made) < 1e-6 * made for made in RATINGS[kind])


def kinds_of(rating: float) -> tuple[str, ...]:
    """Kinds of fuse that are made in a rating. [A]"""
    return tuple(kind for kind in RATINGS if is_made(kind, rating))


def largest_made(most: float, kinds: tuple[str, ...] = ("blade", "midi", "mega")) -> float:
    """Return the largest rating that is made, of these kinds, and not above `most`. [A]

    0 where there is none.
    """
    made = (rating for kind in kinds for rating in RATINGS[kind] if rating <= most * (1 + 1e-9))
    return max(made, default=0.0)
