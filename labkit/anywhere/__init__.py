"""Hunts on a page of their own: in any browser, with no server and no installation."""
