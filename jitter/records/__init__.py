"""Records: what a person wrote down at the table, from bytes to frozen rows."""
