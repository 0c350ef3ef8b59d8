"""The window's look from a palette: colours in one style sheet, sizes as fonts."""

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QGuiApplication
from PySide6.QtWidgets import QApplication

from app.charts.palette import PALETTES, Palette
from app.screen.shown import Tone
from app.system.paths import asset

TOUCH_PX: Final = 48  # a gloved finger; 44 is the least (WCAG 2.2, 2.5.5 target size enhanced)
BASE_PX: Final = 16


def palette_named(theme: str) -> Palette:
    """Give the palette of a theme; ``system`` follows the desktop."""
    if theme == "system":
        scheme = QGuiApplication.styleHints().colorScheme()
        theme = "dark" if scheme == Qt.ColorScheme.Dark else "light"
    return PALETTES[theme]


def tone_colour(palette: Palette, tone: Tone) -> str:
    """Give the colour that goes with a tone."""
    return {
        "calm": palette.trace,
        "good": palette.good,
        "attention": palette.attention,
        "danger": palette.danger,
    }[tone]


def font(px: int, *, bold: bool = False) -> QFont:
    """Give the window's font in a size."""
    made = QFont(QApplication.font())
    made.setPixelSize(px)
    made.setBold(bold)
    return made


def style_sheet(palette: Palette) -> str:
    """Give the style sheet of the whole window. Sizes of type are not in it, but on the widgets."""
    accent, p = palette.focus, palette
    is_dark = QColor(p.background).lightness() < 128
    opening = asset(f"icons/open-{'light' if is_dark else 'dark'}.svg").as_posix()
    tick = asset(f"icons/tick-{'dark' if is_dark else 'light'}.svg").as_posix()
    return f"""
QWidget {{ background: {p.background}; color: {p.text}; outline: none; }}
QLabel, QCheckBox, QRadioButton {{ background: transparent; }}
QLabel[role="muted"] {{ color: {p.muted}; }}
QFrame[role="card"], QWidget[role="card"] {{
    background: {p.surface}; border: 1px solid {p.grid}; border-radius: 8px; }}
QFrame[role="card"] QWidget {{ background: {p.surface}; }}
QFrame[role="card"] QLabel, QFrame[role="card"] QCheckBox {{ background: transparent; }}
QPushButton, QToolButton {{
    background: {p.surface}; color: {p.text}; border: 2px solid {p.muted}; border-radius: 8px;
    padding: 4px 14px; min-height: {TOUCH_PX - 12}px; }}
QFrame[role="card"] QPushButton, QFrame[role="card"] QToolButton {{ background: {p.background}; }}
QPushButton[tight="true"] {{ padding: 4px 6px; }}
QPushButton[tight="true"]:focus {{ padding: 1px 3px; }}
QPushButton[large="true"] {{ min-height: {TOUCH_PX - 2}px; }}
QPushButton:hover, QToolButton:hover {{ border-color: {p.text}; }}
QPushButton:pressed, QToolButton:pressed, QPushButton:checked {{
    background: {p.grid}; border-color: {p.text}; }}
QPushButton:focus, QToolButton:focus {{ border: 5px solid {accent}; padding: 1px 11px; }}
QPushButton:disabled, QToolButton:disabled {{ color: {p.muted}; border: 2px dashed {p.grid}; }}
QPushButton[role="main"], QFrame[role="card"] QPushButton[role="main"] {{
    background: {p.text}; color: {p.background}; border-color: {p.text}; font-weight: bold; }}
QPushButton[role="main"]:pressed {{ background: {p.muted}; }}
QPushButton[role="main"]:focus {{ border: 6px double {p.background}; padding: 0 10px; }}
QFrame[role="card"] QPushButton[role="main"]:disabled, QPushButton[role="main"]:disabled {{
    background: {p.surface}; color: {p.muted}; border: 2px dashed {p.grid}; }}
QLineEdit, QComboBox, QPlainTextEdit, QTableWidget, QDoubleSpinBox {{
    background: {p.background}; color: {p.text}; border: 2px solid {p.muted}; border-radius: 6px;
    padding: 2px 8px; min-height: {TOUCH_PX - 10}px; placeholder-text-color: {p.muted};
    selection-background-color: {p.text}; selection-color: {p.background}; }}
QLineEdit:disabled, QComboBox:disabled, QDoubleSpinBox:disabled {{
    background: {p.surface}; color: {p.muted}; border: 2px dashed {p.grid}; }}
QLabel:disabled, QCheckBox:disabled, QRadioButton:disabled {{ color: {p.muted}; }}
QLineEdit:focus, QComboBox:focus, QPlainTextEdit:focus, QTableWidget:focus, QDoubleSpinBox:focus {{
    border: 4px solid {accent}; padding: 0 6px; }}
QListWidget {{ background: {p.background}; color: {p.text}; border: 2px solid {p.muted};
    border-radius: 6px; padding: 2px; }}
QListWidget:focus {{ border: 4px solid {accent}; padding: 0; }}
QListWidget::item {{ min-height: {TOUCH_PX - 4}px; padding: 2px 8px; }}
QListWidget::item:selected {{ background: {p.text}; color: {p.background}; }}
QComboBox {{ combobox-popup: 0; }}
QComboBox QAbstractItemView::item {{ min-height: {TOUCH_PX - 4}px; padding: 0 8px; }}
QComboBox QAbstractItemView::item:selected {{ background: {p.text}; color: {p.background}; }}
QComboBox::drop-down {{ border: none; width: 32px; }}
QComboBox::down-arrow {{ image: url("{opening}"); width: 16px; height: 16px; }}
QComboBox QAbstractItemView, QMenu {{
    background: {p.surface}; color: {p.text}; border: 1px solid {p.muted};
    selection-background-color: {p.text}; selection-color: {p.background}; }}
QMenu::item {{ padding: 13px 24px; }}
QMenu::item:selected {{ background: {p.text}; color: {p.background}; }}
QMenu::item:disabled {{ color: {p.muted}; }}
QMenu::separator {{ height: 1px; background: {p.grid}; margin: 4px 10px; }}
QTabWidget::pane {{ border: none; }}
QTabBar::tab {{
    background: {p.surface}; color: {p.text}; border: 2px solid {p.muted}; border-radius: 6px;
    padding: 2px 16px; min-height: {TOUCH_PX - 6}px; margin: 0 4px 8px 0; }}
QTabBar::tab:selected {{ background: {p.text}; color: {p.background}; }}
QTabBar::tab:selected:focus {{ border: 6px double {p.background}; padding: 0 12px;
    min-height: {TOUCH_PX - 10}px; }}
QHeaderView::section {{
    background: {p.surface}; color: {p.text}; border: none; border-bottom: 1px solid {p.muted};
    padding: 4px 8px; }}
QCheckBox, QRadioButton {{ spacing: 10px; min-height: {TOUCH_PX - 8}px; padding: 0 2px;
    border: 3px solid transparent; border-radius: 6px; }}
QCheckBox:focus, QRadioButton:focus {{ border-color: {accent}; }}
QCheckBox::indicator, QRadioButton::indicator {{
    width: 20px; height: 20px; border: 2px solid {p.muted}; background: {p.background}; }}
QCheckBox::indicator {{ border-radius: 4px; }}
QRadioButton::indicator {{ border-radius: 12px; }}
QCheckBox::indicator:checked {{
    background: {p.text}; border-color: {p.text}; image: url("{tick}"); }}
QRadioButton::indicator:checked {{ width: 10px; height: 10px; border: 7px solid {p.text}; }}
QScrollArea {{ border: 3px solid transparent; border-radius: 6px; }}
QScrollArea:focus {{ border-color: {accent}; }}
QScrollBar:vertical {{ background: {p.surface}; width: 16px; margin: 0; }}
QScrollBar::handle:vertical {{ background: {p.muted}; border-radius: 6px; min-height: 40px;
    margin: 2px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ height: 0; }}
QToolTip {{ background: {p.text}; color: {p.background}; border: none; padding: 4px; }}
QProgressBar {{ border: 2px solid {p.muted}; border-radius: 6px; text-align: center;
    min-height: 24px; }}
QProgressBar::chunk {{ background: {p.trace}; }}
"""
