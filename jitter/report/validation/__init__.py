"""The validation, in every form."""
