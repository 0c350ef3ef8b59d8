"""Alarms that are heard: a tone of our own, played by what the system has."""

import io
import math
import shutil
import struct
import sys
import wave
from typing import Final

from PySide6.QtCore import QProcess, QTemporaryFile
from PySide6.QtWidgets import QApplication

from app.screen.shown import Tone

RATE_HZ: Final = 22050
# Two rising notes for good news, three falling ones for danger: told apart without looking.
NOTES_HZ: Final[dict[Tone, tuple[float, ...]]] = {
    "calm": (660.0,),
    "good": (660.0, 990.0),
    "attention": (660.0, 660.0),
    "danger": (990.0, 740.0, 990.0, 740.0),
}
NOTE_S: Final = 0.22
_PLAYERS: Final = ("pw-play", "paplay", "aplay", "afplay")


def tone_wave(notes_hz: tuple[float, ...]) -> bytes:
    """Make a WAV file of sine notes, each faded in and out so that it does not click."""
    samples = []
    count, fade = int(RATE_HZ * NOTE_S), int(RATE_HZ * 0.02)
    for note_hz in notes_hz:
        for index in range(count):
            loudness = min(1.0, index / fade, (count - index) / fade)
            swing = math.sin(2.0 * math.pi * note_hz * index / RATE_HZ)
            samples.append(round(24_000 * loudness * swing))
    target = io.BytesIO()
    with wave.open(target, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(struct.pack(f"<{len(samples)}h", *samples))
    return target.getvalue()


class Sound:
    """Plays a tone; where the system has no player, its own beep."""

    def __init__(self) -> None:
        self._files: dict[Tone, QTemporaryFile] = {}
        self._process: QProcess | None = None

    def play(self, tone: Tone) -> None:
        """Be heard, without waiting for it."""
        if sys.platform == "win32":
            import winsound

            winsound.MessageBeep(winsound.MB_ICONHAND if tone == "danger" else winsound.MB_OK)
            return
        player = next((found for name in _PLAYERS if (found := shutil.which(name))), None)
        if player is None:
            QApplication.beep()
            return
        self.stop()
        self._process = QProcess()
        self._process.start(player, [self._file(tone)])

    def stop(self) -> None:
        """End the tone that plays."""
        process, self._process = self._process, None
        if process is not None and process.state() != QProcess.ProcessState.NotRunning:
            process.kill()
            process.waitForFinished(500)

    def _file(self, tone: Tone) -> str:
        if tone not in self._files:
            file = QTemporaryFile()
            file.open()
            file.write(tone_wave(NOTES_HZ[tone]))
            file.close()
            self._files[tone] = file
        return self._files[tone].fileName()
