"""A real boat: what is wrong with it, and what it is like, inferred together from its readings."""
