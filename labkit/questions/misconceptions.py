"""Wrong ideas this trade meets over and over, and what to say to each."""

from __future__ import annotations

from collections.abc import Mapping

MISCONCEPTIONS: Mapping[str, str] = {
    "sign": (
        "The size is right and the sign is not: the meter shows how far red stands above black."
    ),
    "factor 1000": (
        "The digits are right and the prefix is not: a thousand millivolts make a volt."
    ),
    "sound when loaded": (
        "That is what a sound circuit would show. A joint that shows full voltage with nothing "
        "flowing may still not pass a load: volts without current prove only that it is not quite "
        "open."
    ),
    "drop without current": (
        "That is what it shows while current flows. Without current nothing is lost in any "
        "resistance, however bad: volts lost are amps times ohms."
    ),
    "bus instead of across": (
        "That is what you would read against the negative bus. The leads are across the part: only "
        "what is lost between them counts."
    ),
    "bus is not the load": (
        "That is what you would read across the load itself. Against the negative bus, what is "
        "lost on the return side is included."
    ),
    "return is zero": (
        "The way home is a wire like any other: amps times ohms lift every point of it above the "
        "negative bus, and behind it an open leaves it as live as the supply."
    ),
    "current is used up": (
        "What goes out comes home. A load uses up volts, not amps: the current behind it is the "
        "current before it."
    ),
    "open reads nothing": (
        "Across an open in a live circuit no current flows, and just for that reason the whole "
        "supply is there: the meter is the only thing left that joins the two sides."
    ),
    "meter draws nothing": (
        "That is what a meter without any load of its own would show. This one has a resistance "
        "too, and behind one that is not small beside it, it pulls the voltage down."
    ),
    "ohms on a live circuit": (
        "That is what the part would show with the circuit dead. On a live circuit the meter's own "
        "small current is lost in the boat's, and the number means nothing: switch off first."
    ),
    "ohms of one part": (
        "That is what the part would show by itself. In its place the meter's current has other "
        "ways beside it: take one end off before you measure ohms."
    ),
    "volts without load": (
        "With nothing flowing a bad joint and a sound one read the same. Switch the load on, and "
        "read again."
    ),
    "across hides the side": (
        "Across the load one sees that volts are missing, and not on which side they are lost. "
        "One lead on the negative bus tells supply from return."
    ),
    "fuse without the cause": (
        "The fuse opened because too much flowed. With a new one and the cause left in, the new "
        "one opens too."
    ),
    "bigger fuse": (
        "A fuse guards the wire behind it. A bigger one holds because the wire now takes what the "
        "fuse no longer does."
    ),
    "blames the load": (
        "The load is where the trouble shows, not where it is: given its volts it would do what it "
        "should. Measure across it, switched on, before another is bought."
    ),
    "stops at the first find": (
        "That was at fault, and not alone. The proof under load is there to say so."
    ),
}
"""Key to what is said. A key is named only where an answer is what that idea would give here."""
