"""The index of a folder of pages: the newest first, and pages of one study side by side."""
