"""Requirements, in every form."""
