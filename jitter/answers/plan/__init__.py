"""How many frames, and how long, for so many keepers."""
