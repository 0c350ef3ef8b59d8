"""What the demo is, wherever it plays: an invented wet circuit, an invented technician."""

from typing import Final

SCENARIO: Final = "demo"
SPEED: Final = 74.0  # an hour and three quarters of evacuation and hold in about 90 s
HOLD_S: Final = 1230.0  # an ordinary circuit is held for 20 min at least
TITLE: Final = "Demo: invented vehicle, invented workshop"
