"""Codes and numbers become sentences: the phrases, the names, the units."""
