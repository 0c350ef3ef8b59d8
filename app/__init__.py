"""Simmerdown's program: joins sensors and analysis into window, terminal, job file and report."""

__version__ = "0.1.0"
