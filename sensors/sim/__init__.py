"""The simulated sensor: a physical circuit under a pump, with the truth about it known."""
