"""The ranking in full, in every form."""
