"""Tests of what lies underneath."""
