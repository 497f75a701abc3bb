"""Measurements turned into values and spreads of a study."""
