"""When it will be flat: the decline of the visible bursts, and its forecast."""
