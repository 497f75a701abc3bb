"""Which flash power: short enough, bright enough, deep enough."""
