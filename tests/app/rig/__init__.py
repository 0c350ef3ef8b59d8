"""Tests of pump and hose."""
