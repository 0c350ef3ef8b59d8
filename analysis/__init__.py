"""The analysis: numpy and pure. Its one door is :class:`analysis.evacuation.Evacuation`."""
