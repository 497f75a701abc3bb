"""A plan of frames, in every form."""
