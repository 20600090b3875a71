"""The rules a boat's wiring is held against, each with the standard it comes from.

No standard binds every boat. Each rule names one, and whom that one binds; elsewhere it is good
practice, and what holds is the code of the place where the boat is kept.
"""

from __future__ import annotations

from dataclasses import dataclass

US_LAW = "boats with inboard petrol engines in the US (33 CFR 183.401); good practice elsewhere"
VOLUNTARY = "nobody by law: a voluntary standard, which insurers and surveyors ask for"
NOBODY = "nobody by law: it is what is made, or what works"


@dataclass(frozen=True)
class Rule:
    """A rule of the survey.

    Attributes
    ----------
    name : str
        As it is printed, and as `accepts` names it.
    standard : str
        Where it stands written; 'second hand' or 'from memory' where nobody read the text itself.
    binds : str
        Whom it binds.
    claim : str
        That a part breaks it, as somebody who surveys a boat may tick it; '' for what is not
        asked.
    """

    name: str
    standard: str
    binds: str
    claim: str


NO_PROTECTION = Rule("no protection", "33 CFR 183.455(a), 183.460(a)", US_LAW, "nothing guards {}")
TOO_FAR = Rule(
    "too far from the source",
    "ABYC E-11 and 33 CFR 183.455(b): 7 in, or more in a sheath",
    US_LAW,
    "too much bare wire lies before {}",
)
WRONG_END = Rule(
    "at the wrong end", "33 CFR 183.455(b)", US_LAW, "{} sits at the wrong end of its wire"
)
NOT_MADE = Rule(
    "not made",
    "makers' lists; ISO 8820-3 for blades",
    NOBODY,
    "{} is of a rating that is not made in its kind",
)
CANNOT_INTERRUPT = Rule(
    "cannot interrupt",
    "ABYC E-11, interrupting capacity of fuses and breakers",
    VOLUNTARY,
    "{} cannot break what a short behind it would draw",
)
TOO_BIG = Rule(
    "fuse too big", "33 CFR 183.455(c)(1)", US_LAW, "{} is too big for the thinnest wire behind it"
)
LOCKED_ROTOR = Rule(
    "locked rotor",
    "ABYC E-11, motors held fast, from memory",
    VOLUNTARY,
    "{} does not open if a motor behind it is held fast",
)
OVERLOADED = Rule(
    "wire overloaded", "33 CFR 183.425(b), Table 5", US_LAW, "{} carries more than it may for good"
)
TOO_THIN = Rule(
    "wire too thin",
    "33 CFR 183.425(d), (e), (g): alone 16 AWG, in a sheath 18 AWG; ISO 10133 7.7: 1 and 0.75 mm2",
    US_LAW,
    "{} is thinner than any wire may be that is laid alone",
)
VOLTAGE_DROP = Rule(
    "voltage drop",
    "ABYC E-11 and ISO 13297, second hand",
    VOLUNTARY,
    "too much voltage is lost on the way to {}",
)
REVERSED = Rule("battery reversed", "common practice", NOBODY, "{} stands the wrong way round")
RINGS = Rule(
    "too many rings",
    "ABYC E-11: at most four on a stud, second hand",
    VOLUNTARY,
    "too many rings lie on the stud of {}",
)
STALE = Rule("accepted for nothing", "the file's own `accepts`", NOBODY, "")

RULES = (
    NO_PROTECTION, TOO_FAR, WRONG_END, NOT_MADE, CANNOT_INTERRUPT, TOO_BIG, LOCKED_ROTOR,
    OVERLOADED, TOO_THIN, VOLTAGE_DROP, REVERSED, RINGS,
)  # fmt: skip  # rows that a reader compares
"""Every rule that a file may accept the breach of."""

CRITICAL_DROP = 0.03
"""Of the system voltage: navigation lights, bilge blowers and pumps, electronics, horn."""

OTHER_DROP = 0.10
"""Of the system voltage: every other load."""

NEAR = 0.178
"""Wire before the first fuse where nothing sheathes it: 7 in. [m]"""

NEAR_SHEATHED = 1.016
"""The same in a sheath or enclosure: 40 in. [m] 33 CFR 183.455(b)(2)."""

NEAR_BATTERY_SHEATHED = 1.829
"""The same from a battery's post: 72 in. [m] 33 CFR 183.460(a) and ABYC E-11, from memory."""

FUSE_SHARE = 1.5
"""Of a wire's ampacity, the most its fuse may be rated for. 33 CFR 183.455(c)(1), below 50 V."""

LEAST_ALONE = 1.0e-6
"""Least area of a wire laid by itself. [m2]

ISO 10133:2012 7.7, which ISO 13297 replaced: 1 mm2. US law asks a little more, 16 AWG (1.3 mm2),
and no gauge is made between; ABYC E-11 has the same 16 AWG, second hand.
"""

LEAST_SHEATHED = 0.75e-6
"""The same in a sheath with others. [m2] ISO 10133 7.7; 33 CFR 183.425(d): 18 AWG, 0.82 mm2."""

PIGTAIL = 0.2
"""A wire no longer than this may be thinner. [m]

ISO 10133 7.7: 200 mm; pigtails of less than 7 in, 178 mm: 33 CFR 183.425(g).
"""

ELECTRONIC = 1.0
"""Wires of electronics that take less than this may be thinner. [A] 33 CFR 183.425(g)."""

MOST_RINGS = 4
"""On one stud."""

LOCKED_SHARE = 1.35
"""A current of this share of its rating opens every kind of fuse or breaker within the hour."""
