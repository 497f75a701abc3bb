"""Which settings are best, and how much slack each has."""
