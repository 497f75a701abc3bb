"""The study as it will be run, and one shot of it."""
