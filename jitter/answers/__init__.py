"""Answers: one question per file, frozen numbers out."""
