"""A circuit surveyed: walked from its sources outward, sized, and held against the rules."""
