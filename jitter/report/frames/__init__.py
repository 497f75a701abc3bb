"""Frames as the camera would see them, drawn from the simulated geometry."""
