"""The colours by role, for light, dark and high contrast."""

from dataclasses import dataclass
from typing import Literal

Theme = Literal["light", "dark", "high-contrast"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Palette:
    """Colours as ``#rrggbb``, each named after what it says.

    The hues keep apart what Okabe and Ito's set keeps apart (Color Universal Design, 2008: blue,
    orange, bluish green, vermilion, reddish purple), each in a lightness that reads on its
    ground. A colour never says anything alone: burst, trend, isolation and the lines differ in
    shape, line style and text too.

    Attributes
    ----------
    background, surface
        Behind everything; behind charts and panels.
    text, muted
        Text; text and frames of less weight.
    grid
        Lines one should be able to ignore.
    trace
        The readings.
    pump
        The readings of a second gauge, at the pump.
    burst
        Bursts and the lulls between them.
    trend, band
        The fitted lull and the middle of its band (drawn on ``surface``, under the trend).
    flat
        The line the lulls climb towards, and the expected crossing.
    isolation
        Isolations and their rise.
    boiling, freezing
        The water's boiling pressure; its triple point.
    gap
        Hatching where readings are missing.
    mark
        What the technician marked.
    good, attention, danger
        Tones of state, as text on ``background`` or ``surface``.
    on_tone
        Text upon a patch of one of the three tones.
    focus
        Ring round what has the keyboard.
    """

    background: str
    surface: str
    text: str
    muted: str
    grid: str
    trace: str
    pump: str
    burst: str
    trend: str
    band: str
    flat: str
    isolation: str
    boiling: str
    freezing: str
    gap: str
    mark: str
    good: str
    attention: str
    danger: str
    on_tone: str
    focus: str


_LIGHT = Palette(
    background="#eceff0",
    surface="#fbfcfc",
    text="#15201f",
    muted="#4c5a5c",
    grid="#dce2e3",
    trace="#16333a",
    pump="#7a45c4",
    burst="#b04a00",
    trend="#0067a3",
    band="#cfe3f1",
    flat="#00694c",
    isolation="#96407a",
    boiling="#8a5200",
    freezing="#2f68a8",
    gap="#a9b4b6",
    mark="#4c5a5c",
    good="#00694c",
    attention="#855200",
    danger="#a82f00",
    on_tone="#ffffff",
    focus="#0067a3",
)

_DARK = Palette(
    background="#11181a",
    surface="#182225",
    text="#eef3f3",
    muted="#a9b8ba",
    grid="#2b383c",
    trace="#d5e6e8",
    pump="#b79bff",
    burst="#f0902f",
    trend="#62b8ee",
    band="#23445a",
    flat="#3fc79c",
    isolation="#de93c0",
    boiling="#e8b54a",
    freezing="#8fb6f2",
    gap="#56666a",
    mark="#a9b8ba",
    good="#3fc79c",
    attention="#efb53a",
    danger="#ff8560",
    on_tone="#11181a",
    focus="#62b8ee",
)

_HIGH_CONTRAST = Palette(
    background="#000000",
    surface="#000000",
    text="#ffffff",
    muted="#e2e2e2",
    grid="#4a4a4a",
    trace="#ffffff",
    pump="#a98bff",
    burst="#ffa640",
    trend="#7cc8ff",
    band="#1d4a6b",
    flat="#4ee6b0",
    isolation="#ff9fdb",
    boiling="#ffe14d",
    freezing="#a8ccff",
    gap="#8a8a8a",
    mark="#bdbdbd",
    good="#4ee6b0",
    attention="#ffe14d",
    danger="#ff9a7a",
    on_tone="#000000",
    focus="#ffe14d",
)

PALETTES: dict[str, Palette] = {
    "light": _LIGHT,
    "dark": _DARK,
    "high-contrast": _HIGH_CONTRAST,
}
