"""How people and meters err: the figures by which evidence is weighed."""

STRIKE = 4.0
"""A reading this far outside what a candidate predicts strikes it out. [sigma]"""

UNSEEN = 0.01
"""A word less likely than this under a candidate strikes it out."""

SLIP = 1e-3
"""Chance that a reading is not what it is said to be: a lead misplaced, a digit misread."""

FLUTTER = 0.02
"""Chance that what should be steady flutters, or the other way round, at the edge of a cut-out."""

RANGE = 1000.0
"""A slip may read anything on a scale of about this length. [sigma]"""

SURE = 0.95
"""Names are taken for known that make up this much of the belief."""

LEAST_WIDTH = 0.25
"""Width given to a row that predicts a single number: adds 0.3 % to its spread. [sigma]"""

EYE = 0.08
"""Spread of a person's judgment of speed or light, as a natural logarithm. Common practice."""

MISTAKE = 0.002
"""Chance that something else is reported than was there."""

IN_HAND = 1e-5
"""The same of what one holds in one's hand."""
