"""The one thing to do next, and the parts of the job, each optional and in any order."""

from collections.abc import Callable
from functools import partial
from typing import Protocol

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QVBoxLayout,
    QWidget,
)

from app.charts.palette import Palette
from app.job.fields import PARTS
from app.screen.phrases import part_phrases
from app.screen.shown import Screen
from app.window.buttons import TouchButton
from app.window.labels import unbroken
from app.window.scrolling import Scrolling
from app.window.theme import BASE_PX, font

_BOTH_PX = 380  # height with room for an offer of three lines and the gauge's button


class Parts(Protocol):
    """What the panel asks for."""

    def hold_now(self) -> None:
        """Begin the standing test's walk."""

    def walk_back(self) -> None:
        """Not now."""

    def take_offer(self) -> None:
        """Go on with the job that was not finished."""

    def decline_offer(self) -> None:
        """Leave it as it is."""

    def confirm_cut_off(self) -> None:
        """Say yes to a closing that the trace shows."""

    def decline_cut_off(self) -> None:
        """Say no to it."""

    def blank_off(self) -> None:
        """Begin the blank-off test, or end the one that runs."""

    def tick_part(self, part: str, is_done: bool) -> None:
        """Keep whether a part is done."""


class NextPanel(QFrame):
    """Shown while no standing test runs.

    Parameters
    ----------
    acts
        Gives the presenter.
    choose_gauge, show_safety, fill_in
        Called by the three buttons.
    """

    def __init__(
        self,
        acts: Callable[[], Parts],
        choose_gauge: Callable[[], None],
        show_safety: Callable[[], None],
        fill_in: Callable[[], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self._acts, self._screen = acts, Screen()
        self._next = QLabel()
        self._next.setWordWrap(True)
        self._next.setFont(font(BASE_PX + 6, bold=True))
        self.gauge = TouchButton(
            self.tr("Choose the gauge …"),
            choose_gauge,
            hint="Ctrl+G",
            picture="gauge",
            is_main=True,
        )
        self.gauge.enlarge()
        self._progress = QProgressBar()
        self.prompt = Prompt(
            self.tr("Start the standing test"),
            lambda: acts().hold_now(),
            self.tr("Not now"),
            lambda: acts().walk_back(),
        )
        self.offer = Prompt(
            self.tr("Go on with it"),
            lambda: acts().take_offer(),
            self.tr("Leave it"),
            lambda: acts().decline_offer(),
        )
        self.cut_off = Prompt(
            self.tr("Yes, it was closed then"),
            lambda: acts().confirm_cut_off(),
            self.tr("No"),
            lambda: acts().decline_cut_off(),
        )
        self.end_blank_off = TouchButton(
            self.tr("End the blank-off test"), lambda: acts().blank_off(), is_main=True
        )
        self.end_blank_off.enlarge()
        self.isolation = QLabel()
        self.isolation.setWordWrap(True)
        self.isolation.setFont(font(BASE_PX))
        self.safety = TouchButton(self.tr("Safety"), show_safety, hint="F1")
        self.job = TouchButton(self.tr("The job …"), fill_in, hint="Ctrl+J")
        self._boxes = {part: QCheckBox() for part in PARTS}
        self._lay_out()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 8, 14, 8)
        column.setSpacing(8)
        for widget in (self._next, self.gauge, self._progress, self.prompt, self.offer):
            column.addWidget(widget)
        column.addWidget(self.cut_off)
        column.addWidget(self.isolation)
        column.addWidget(self.end_blank_off)
        column.addWidget(self._parts(), 1)
        row = QHBoxLayout()
        row.addWidget(self.safety, 1)
        row.addWidget(self.job, 1)
        column.addLayout(row)

    def _parts(self) -> Scrolling:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        phrases = part_phrases(QCoreApplication.translate)
        for part, box in self._boxes.items():
            box.setText(phrases[part])
            box.setFont(font(BASE_PX))
            box.clicked.connect(partial(self._on_tick, part))
            column.addWidget(box)
        column.addStretch()
        area = Scrolling(body)
        area.setMinimumHeight(1)  # the list gives way first: it can be scrolled
        area.setAccessibleName(self.tr("Parts of the job"))
        return area

    def _on_tick(self, part: str, is_done: bool) -> None:
        self._acts().tick_part(part, is_done)

    def show_screen(self, screen: Screen, palette: Palette) -> None:
        """Show what comes next."""
        self._next.setText(screen.next_step)
        # A question takes the place of what is next: in a low window there is none for both.
        is_asking = screen.is_prompting or bool(screen.offer or screen.cut_off)
        self._next.setVisible(not is_asking)
        self._screen = screen
        self._show_gauge()
        flat = self.tr("Flat. Prove it with a standing test.")
        self.prompt.show_text(flat if screen.is_prompting else "", palette.good, palette.on_tone)
        self.offer.show_text(screen.offer, palette.attention, palette.on_tone)
        self.cut_off.show_text(screen.cut_off, palette.attention, palette.on_tone)
        told = " ".join(screen.blank_off) if screen.tells_blank_off else screen.isolation
        self.isolation.setText(unbroken(told))
        self.isolation.setVisible(bool(told))
        self.end_blank_off.setVisible(screen.is_blanking)
        self._progress.setVisible(screen.progress is not None)
        self._progress.setValue(round(100 * (screen.progress or 0.0)))
        for part, box in self._boxes.items():
            box.setChecked(part in screen.parts_done)
            box.setEnabled(screen.can_fill_in)
        self.job.setEnabled(screen.phase != "opening")

    def _show_gauge(self) -> None:
        """Show the gauge's button; in a low window once the offer is answered."""
        has_room = self.height() >= _BOTH_PX or not self._screen.offer
        self.gauge.setVisible(self._screen.wants_gauge and has_room)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Look again whether there is room for both."""
        super().resizeEvent(event)
        self._show_gauge()

    def paint_with(self, palette: Palette) -> None:
        """Draw the pictures in the palette's ink."""
        self.gauge.paint_with(palette)


class Prompt(QFrame):
    """A question that appears by itself, with its two answers."""

    def __init__(
        self,
        yes: str,
        on_yes: Callable[[], None],
        no: str,
        on_no: Callable[[], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("prompt")
        self._text = QLabel()
        self._text.setWordWrap(True)
        self._text.setFont(font(BASE_PX + 4, bold=True))
        self.yes = TouchButton(yes, on_yes, is_main=True)
        self.yes.enlarge()
        self.no = TouchButton(no, on_no)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 6, 8, 8)
        column.setSpacing(4)
        for widget in (self._text, self.yes, self.no):
            column.addWidget(widget)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep long answers whole: smaller type, less margin."""
        super().resizeEvent(event)
        for button in (self.yes, self.no):
            is_long = button.fontMetrics().horizontalAdvance(button.text()) > self.width() - 48
            if is_long:
                button.setFont(font(BASE_PX - 1, bold=button is self.yes))
                button.tighten(True, has_picture=False)

    def show_text(self, text: str, colour: str, ink: str) -> None:
        """Ask, on a coloured ground; nothing to ask hides it."""
        self._text.setText(text)
        self.setVisible(bool(text))
        self.setStyleSheet(
            f"#prompt {{ background: {colour}; border-radius: 8px; border: none; }}"
            f"#prompt QLabel {{ background: transparent; color: {ink}; border: none; }}"
        )
