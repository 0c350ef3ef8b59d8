"""The standing test: what a recorded rise is made of, and the finding."""
