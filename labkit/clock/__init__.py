"""Heat and time: what warms, tires, fills and empties aboard while minutes pass."""
