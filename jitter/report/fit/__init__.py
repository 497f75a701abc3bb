"""Measurements turned into a study, in every form."""
