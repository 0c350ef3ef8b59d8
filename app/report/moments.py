"""Times as the page writes them: since the first reading, local, and UTC."""

from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from app.report.phrases import proof_phrases
from app.report.record import Record
from app.words import display
from app.words.phrases import Translate

DASH = "–"


@dataclass(frozen=True, slots=True)
class Moments:
    """Writes the times of one record.

    Attributes
    ----------
    zone
        The local zone; ``None``: that of this computer, as it was at each moment.
    """

    record: Record
    translate: Translate
    zone: tzinfo | None = None

    def clock(self, time_s: float) -> str:
        """Write hours, minutes and seconds since the first reading."""
        since_s = time_s - self.record.zero_s
        return display.clock(since_s) if since_s >= 0 else "−" + display.clock(-since_s)

    def local(self, time_s: float) -> str:
        """Write the local time of day."""
        moment = self._local(time_s)
        return DASH if moment is None else f"{moment:%H:%M}"

    def date(self, time_s: float) -> str:
        """Write the local day."""
        moment = self._local(time_s)
        return "" if moment is None else f"{moment:%Y-%m-%d}"

    def both(self, time_s: float) -> str:
        """Write date and time, local with its offset and UTC."""
        moment, local = self.record.moment(time_s), self._local(time_s)
        if moment is None or local is None:
            return DASH
        phrases = proof_phrases(self.translate)
        utc, offset = moment.astimezone(UTC), f"{local:%z}"
        form = "%H:%M:%S" if utc.date() == local.date() else "%Y-%m-%d %H:%M:%S"
        return phrases["both"].format(
            local=f"{local:%Y-%m-%d %H:%M:%S}",
            offset=f"{offset[:3]}:{offset[3:5]}",
            utc=utc.strftime(form),
        )

    def _local(self, time_s: float) -> datetime | None:
        moment = self.record.moment(time_s)
        try:
            return None if moment is None else moment.astimezone(self.zone)
        except (OverflowError, OSError, ValueError):
            return None  # a year that this computer's calendar does not have
