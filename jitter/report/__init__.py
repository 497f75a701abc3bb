"""From an answer to a screen, a document for programs, or a page."""
