"""What a log of frames says, in every form."""
