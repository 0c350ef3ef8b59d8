"""Every palette reads well, for everybody."""

import dataclasses
import itertools

import numpy as np
import pytest
from numpy.typing import NDArray

from app.charts.palette import PALETTES, Palette

Floats = NDArray[np.float64]

# Machado, Oliveira and Fernandes 2009, "A physiologically-based model for simulation of color
# vision deficiency", full severity, linear RGB [memory].
_SEEN_BY = {
    "everybody": np.eye(3),
    "protanopes": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deuteranopes": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
}
# What stands side by side on one chart, and must be told apart by its colour too.
_SIDE_BY_SIDE = [
    ("trace", "burst"),
    ("trace", "pump"),
    ("pump", "burst"),
    ("pump", "freezing"),
    ("pump", "boiling"),
    ("burst", "trend"),
    ("burst", "flat"),
    ("trend", "flat"),
    ("boiling", "freezing"),
    ("burst", "isolation"),
    ("good", "danger"),
]
_TEXTS = ["text", "muted", "good", "attention", "danger", "burst", "flat", "isolation"]
_TEXTS += ["boiling", "freezing", "mark", "trend", "pump"]


def _linear(colour: str) -> Floats:
    parts = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255.0
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, "contrast ratio" and "relative luminance"."""
    weights = np.array([0.2126, 0.7152, 0.0722])
    dark, light = sorted(float(weights @ _linear(colour)) for colour in (one, other))
    return (light + 0.05) / (dark + 0.05)


def _lab(linear: Floats) -> Floats:
    """CIE 1976 L*a*b* of linear sRGB (IEC 61966-2-1, D65)."""
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    xyz = to_xyz @ np.clip(linear, 0, 1) / np.array([0.9505, 1.0, 1.089])
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize("theme", PALETTES)
def test_texts_are_read(theme: str) -> None:
    """WCAG 2.2, 1.4.3 (4.5 to 1); 1.4.6 (7 to 1) in high contrast."""
    palette = PALETTES[theme]
    least = 7.0 if theme == "high-contrast" else 4.5
    for role, ground in itertools.product(_TEXTS, ("background", "surface")):
        assert contrast(getattr(palette, role), getattr(palette, ground)) >= least, role
    for tone in ("good", "attention", "danger"):
        assert contrast(palette.on_tone, getattr(palette, tone)) >= least, tone


@pytest.mark.parametrize("theme", PALETTES)
def test_lines_and_signs_are_seen(theme: str) -> None:
    """WCAG 2.2, 1.4.11 (3 to 1 for what has to be seen)."""
    palette = PALETTES[theme]
    for role in ("trace", "focus"):
        assert contrast(getattr(palette, role), palette.surface) >= 3.0, role
        assert contrast(getattr(palette, role), palette.background) >= 3.0, role
    assert contrast(palette.trend, palette.band) >= 3.0
    assert contrast(palette.burst, palette.band) >= 3.0
    assert contrast(palette.grid, palette.surface) < 2.5  # there, but not looked at


@pytest.mark.parametrize("theme", PALETTES)
@pytest.mark.parametrize("who", _SEEN_BY)
def test_side_by_side_colours_differ(theme: str, who: str) -> None:
    """A distance of 10 in L*a*b* is some four times what is just noticed [practice]."""
    palette = PALETTES[theme]
    for one, other in _SIDE_BY_SIDE:
        labs = [_lab(_SEEN_BY[who] @ _linear(getattr(palette, role))) for role in (one, other)]
        assert np.linalg.norm(labs[0] - labs[1]) >= 10.0, (one, other)


def test_all_are_plain_colours() -> None:
    for palette in PALETTES.values():
        for field in dataclasses.fields(Palette):
            value = getattr(palette, field.name)
            assert len(value) == 7
            assert value.startswith("#")
            int(value[1:], 16)
