"""A study as it will be run, in every form."""
