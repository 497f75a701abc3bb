"""The flash power, in every form."""
