"""Tests of a run while it lasts."""
