"""Gauges: found, listened to, checked, kept as profiles, and the link that runs them."""
