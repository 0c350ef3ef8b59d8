"""The user's settings: what they are, their file and their form; and what the window remembers."""
