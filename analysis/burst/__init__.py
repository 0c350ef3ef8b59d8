"""The bursts: explanations of the trace, and the second look at each."""
