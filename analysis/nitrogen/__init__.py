"""The pressure test with dry nitrogen."""
