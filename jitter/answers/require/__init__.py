"""How precisely a thing must be set for a hit rate."""
