"""What the window shows and what is done with it, without Qt."""
