"""Tests of gauges."""
