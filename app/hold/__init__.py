"""The standing test as it is led: its steps, its least length, its words."""
