"""Wrong ideas that this trade meets: what is asked first of each, and what is said then."""

from __future__ import annotations

from collections.abc import Mapping

MISCONCEPTIONS: Mapping[str, str] = {
    "sign": (
        "The size is right and the sign is not: the meter shows how far red stands above black."
    ),
    "factor 1000": "The digits are right and the prefix is not: a thousand millivolts make a volt.",
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
        "That is what you would read against the negative bus. The leads are across the part: "
        "only what is lost between them counts."
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
        "That is what the part would show with the circuit dead. On a live circuit the meter's "
        "own small current is lost in the boat's, and the number means nothing: switch off first."
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
    "bad joint passes nothing": (
        "That is what an open would show. A corroded joint still conducts: what it takes is amps "
        "times ohms, nothing at all while nothing flows."
    ),
    "break is passed over": (
        "That is what it would show with nothing broken. Follow each lead through whole parts "
        "until it meets the battery, plus or minus: the break is where it stops."
    ),
    "fault does nothing": (
        "That is what the sound boat would show. The fault changes what flows, or where it is lost."
    ),
    "switch the other way": (
        "That is what it would show with the switch moved. Look again how it stands."
    ),
    "lost, not left": (
        "That is what is lost before this point, or behind it. To negative the meter shows what "
        "is left: how high the red lead stands."
    ),
    "left, not lost": (
        "That is what is left elsewhere. Across a part the meter shows only what is lost in it."
    ),
    "other side of a part": (
        "That is what stands on the other side of a part beside the lead. Look which point the "
        "lead is on."
    ),
    "across, not to negative": (
        "That is what is lost across a part beside the lead. With black on negative the meter "
        "shows how high the red lead stands."
    ),
    "rated amps": (
        "That comes of the amps that flow when all is well, or that are printed on the load. What "
        "flows here is another current: volts lost are the amps that do flow, times ohms."
    ),
    "ohms taken for volts": (
        "That is the number of the ohms, or the volts less that number. Volts lost are amps times "
        "ohms, so ask first how many amps flow."
    ),
    "nothing is lost on the way": (
        "That is the battery at rest. Where current flows, everything on its way takes a little "
        "of it, and what does not lead to the battery's plus has none of it."
    ),
    "name of the system": (
        "'12 volt' or '24 volt' is the name of the system. A battery at rest stands above it, and "
        "a point aboard stands where current and resistance put it."
    ),
    "shared in halves": (
        "Parts share volts as their ohms are to one another, not by halves; and with nothing "
        "flowing whatever is whole shares none."
    ),
    "shared in thirds": "Parts share volts as their ohms are to one another, not in equal parts.",
    "charger is on": (
        "So much stands there with a charger or an alternator at work. Here a battery is alone."
    ),
    "no current, no volts": (
        "Volts need no current: nothing flows, so nothing is lost, and a point that leads to the "
        "battery's plus through whole parts stands as high as the battery."
    ),
    "it is used up": (
        "Volts are used up where current meets resistance, in proportion to it: mostly in the "
        "load, and only behind it is little left."
    ),
    "open reads OL": (
        "OL is what ohms show of an open. In volts the meter compares two points, and always has "
        "a number for that."
    ),
    "dead is open": (
        "OL would be an open. Ohms do not ask whether the circuit is live, only whether there is "
        "a way between the leads."
    ),
    "nothing flows is OL": "Where nothing flows an ammeter shows 0: there is nothing out of range.",
    "sound parts lose nothing": (
        "A sound part has ohms too, few of them: what it loses is those times the amps that flow."
    ),
    "fuse sets the current": (
        "A fuse's rating is what it carries, and not what flows. What flows is volts over all the "
        "ohms on the way."
    ),
    "only one resistance counts": (
        "That is volts over this one resistance. The battery, wires and fuses on the way have "
        "ohms too, and beside a small one they count."
    ),
    "multiplied, not divided": "Amps are volts over ohms; you took them times one another.",
    "ohms of a hot filament": (
        "Volts times volts over watts are the ohms of the lamp while it burns. Cold, a filament "
        "has a tenth of that or less."
    ),
    "added, not side by side": (
        "Side by side, two ways pass more than one: together they have fewer ohms than either."
    ),
    "connected is zero ohms": (
        "Connected is not zero ohms: what the meter's current passes has ohms, and so have its own "
        "leads."
    ),
    "one way only": (
        "That is half of it: count the way out and the way home, and everything on them."
    ),
    "counted twice": (
        "That is twice what the meter shows between these two points: count only what lies between."
    ),
    "decimal point": "The digits are right and the point is not.",
    "numbers put together": (
        "That is two numbers of the question put together. Write their units beside them: amps "
        "times ohms are volts, and nothing else is."
    ),
    "number of the question": (
        "That number stands in the question, and is another quantity or another place."
    ),
    "halfway between": (
        "Batteries side by side do not meet halfway: the one with fewer ohms inside and more to "
        "give holds the voltage near its own."
    ),
    "in series": "Side by side, volts do not add up. One behind the other they do.",
    "added, not taken off": (
        "What is lost on the way is taken off as you go with the current, and added as you go back "
        "to where it comes from. You went the other way."
    ),
    "share of the other": "A part's share is its ohms over all the ohms, and not over the other's.",
    "it loses nothing": (
        "Current flows through what lies between the leads, and that has ohms: amps times ohms are "
        "lost in it."
    ),
    "one cell": "That is one cell. A battery of twelve volts has six, one behind the other.",
    "needed, not given": (
        "That is what a part needs, or lets go at. What it gets follows from volts and ohms."
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
        "The load is where the trouble shows, not where it is: given its volts it would do what "
        "it should. Measure across it, switched on, before another is bought."
    ),
    "stops at the first find": (
        "That was at fault, and not alone. The proof under load is there to say so."
    ),
}
"""Key to what is said of an idea, once the answer is told.

A key is named only where an answer is what that idea would give here.
"""

HINTS: Mapping[str, str] = {
    "dead is open": "Is there a way between the leads, through whatever hangs there?",
    "nothing flows is OL": "What number is no current?",
    "sound parts lose nothing": "Has it no ohms at all? And how many amps flow through it?",
    "sign": "Which of the two leads stands higher?",
    "factor 1000": "Volts, or thousandths of a volt?",
    "decimal point": "Where does the point go?",
    "sound when loaded": (
        "You have reckoned with a sound joint. What does this one lose, with so many amps?"
    ),
    "drop without current": "How many amps flow just now? And amps times ohms?",
    "bus instead of across": "Where is the black lead?",
    "bus is not the load": "Where is the black lead, and what lies between it and the load?",
    "across, not to negative": "Where is the black lead?",
    "return is zero": (
        "The way home is a wire too. What flows in it, or what does it still lead to?"
    ),
    "current is used up": "Where could the current go, if not on?",
    "open reads nothing": (
        "Nothing flows, so nothing is lost. How high does each side of the open stand?"
    ),
    "open reads OL": "The meter is on volts. How high does each of its leads stand?",
    "meter draws nothing": "What is the meter itself, to this circuit?",
    "ohms on a live circuit": "Is the circuit dead?",
    "ohms of one part": "Has the meter's current another way beside the part?",
    "added, not side by side": "Are the ways one behind the other, or side by side?",
    "bad joint passes nothing": (
        "The joint still conducts. What does it lose, with the amps that flow now?"
    ),
    "break is passed over": "Follow each lead through whole parts: where does it stop?",
    "fault does nothing": "You have reckoned with the sound boat. What does the fault change?",
    "switch the other way": "How do the switches stand?",
    "lost, not left": "Is that how high this point stands, or what is missing from it?",
    "left, not lost": "Is that what is lost between the leads, or what stands elsewhere?",
    "other side of a part": "Which point is the lead on? Find it on the drawing.",
    "rated amps": "Do as many amps flow now as when all is well?",
    "ohms taken for volts": "That is ohms. How many amps flow through them?",
    "numbers put together": "What unit has the number you worked out?",
    "number of the question": "Of what is that the number?",
    "nothing is lost on the way": (
        "Does anything flow? Then what is lost on the way there? And is the way whole?"
    ),
    "name of the system": (
        "That is the system's name. What stands at the battery, and what is lost on the way?"
    ),
    "shared in halves": "What shares the volts, and in proportion to what?",
    "shared in thirds": "What shares the volts, and in proportion to what?",
    "charger is on": "Is a charger at work here?",
    "no current, no volts": (
        "Nothing flows, so nothing is lost. Then how high does each lead stand?"
    ),
    "it is used up": (
        "In which part are most of the volts lost? Is the lead before it or behind it?"
    ),
    "fuse sets the current": "What decides how much flows: the fuse, or volts and ohms?",
    "only one resistance counts": "What else on the way has ohms?",
    "multiplied, not divided": "Which way round: amps are volts over ohms?",
    "ohms of a hot filament": "Is the filament hot while you measure its ohms?",
    "connected is zero ohms": "What does the meter's current pass on its way?",
    "one way only": "Out and home?",
    "halfway between": "Do both have the same ohms inside, and as much to give?",
    "in series": "Are they one behind the other, or side by side?",
    "added, not taken off": "Is this point nearer to where the current comes from, or further?",
    "share of the other": "Over which ohms do the volts fall: the other's, or all of them?",
    "it loses nothing": "Has it no ohms at all? And how many amps flow through it?",
    "one cell": "How many cells has it, one behind the other?",
    "needed, not given": "Is that what it needs, or what it gets?",
    "counted twice": "What lies between the two leads, and what does not?",
}
"""What is asked first, before the answer is told: something that can be answered by thinking."""
