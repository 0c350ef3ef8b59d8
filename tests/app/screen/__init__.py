"""Tests of the screen without Qt."""
