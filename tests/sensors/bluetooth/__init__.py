"""Bluetooth sensors over the real BlueZ back end, with a pretended BlueZ behind it."""
