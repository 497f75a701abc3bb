"""What a log of frames says: misfires explained, and the next test."""
