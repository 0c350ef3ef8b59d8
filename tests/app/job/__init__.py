"""Tests of what a job says."""
