"""Checks of labkit against the outside world: published examples, published tables, ngspice."""
