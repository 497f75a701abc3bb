"""Tests of jitter; they mirror the package."""
