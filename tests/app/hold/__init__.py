"""Tests of the standing test as it is led."""
