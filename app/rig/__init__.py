"""Pump, hose and what hangs on them: blank-off and pressure test, the second gauge."""
