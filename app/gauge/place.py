"""Where a gauge sits: the far one decides, one at the pump is recorded and drawn beside it."""

from typing import Literal

Place = Literal["far", "pump"]
"""``far``: at the end of the circuit away from the pump, where the pressure falls last. ``pump``:
at the pump's inlet, a second gauge that decides nothing."""

PLACES: tuple[Place, ...] = ("far", "pump")
