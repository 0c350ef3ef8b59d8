"""A run while it lasts: what is opened for it, its readings on their way, their record."""
