"""Sensors: anything that yields readings. No Qt, nothing of the analysis."""
