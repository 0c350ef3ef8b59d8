"""What makes the stage untrustworthy, and what it is told by."""
