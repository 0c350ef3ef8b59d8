"""Tests of Simmerdown."""
