"""A real repair: the boat described, the job written down, what was seen, done and proven."""
