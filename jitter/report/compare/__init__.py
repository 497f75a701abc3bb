"""Studies compared, in every form."""
