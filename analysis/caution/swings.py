"""How far a level has climbed before and come back: a rise that was seen is no news."""

# The level must have gained so many times the largest swing before it is news ...
TIMES = 1.5
# ... or half of what it rose from: no gauge wanders by that much for long.
ALWAYS = 0.5


class Swings:
    """Remembers the largest climb that was taken back by half."""

    def __init__(self) -> None:
        self._foot_pa: float | None = None  # of the climb that is followed
        self._top_pa = 0.0
        self.largest_pa = 0.0

    def look(self, level_pa: float, climb: tuple[float, float] | None) -> None:
        """Take the newest level, and where a climb to it began, if there is one."""
        if self._foot_pa is None:
            if climb is None:
                return
            self._foot_pa, self._top_pa = climb[1], level_pa
        self._top_pa = max(self._top_pa, level_pa)
        rise_pa = self._top_pa - self._foot_pa
        if level_pa < self._foot_pa + 0.5 * rise_pa:
            self.largest_pa, self._foot_pa = max(self.largest_pa, rise_pa), None

    def is_news(self, gained_pa: float, foot_pa: float) -> bool:
        """Whether a climb that gained so much over its foot is more than a swing."""
        return gained_pa >= min(TIMES * self.largest_pa, ALWAYS * foot_pa)
