"""The walk through a standing test: one step at a time, large, with a way out."""

from collections.abc import Callable
from typing import Protocol

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from app.charts.palette import Palette
from app.screen.shown import WALK, HoldScreen, LimitLine, Line
from app.window.buttons import SureButton, TouchButton
from app.window.choice_box import ChoiceBox
from app.window.icons import pixmap
from app.window.labels import plain_tip, unbroken
from app.window.scrolling import Scrolling
from app.window.theme import BASE_PX, TOUCH_PX, font, tone_colour
from app.words.terms import limit_phrases


class Walk(Protocol):
    """What the panel asks for."""

    def walk_on(self) -> None:
        """Go on."""

    def walk_back(self) -> None:
        """Leave the walk."""

    def choose_kind(self, kind: str) -> None:
        """Keep what kind of circuit is held."""


class HoldPanel(QFrame):
    """Shows the step.

    Parameters
    ----------
    acts
        Gives the presenter.
    """

    def __init__(self, acts: Callable[[], Walk], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self._steps = QLabel()
        self._steps.setFont(font(BASE_PX - 1))
        self._title = _text(BASE_PX + 8, is_bold=True)
        self._clock = _text(BASE_PX + 1, is_bold=True)
        self._instruction = _text(BASE_PX + 1)
        self._end = _text(BASE_PX + 1, is_bold=True)
        self.kinds = KindBox(lambda kind: acts().choose_kind(kind))
        self._warning = WarningLine()
        self._details = Details()
        self.forward = TouchButton("", lambda: acts().walk_on(), key="F10", is_main=True)
        self.forward.enlarge()
        self.back = SureButton("", lambda: acts().walk_back(), sure=self.tr("Touch again"))
        self._lay_out()
        self._shown: tuple[HoldScreen, Palette] | None = None
        self._page = ""

    def _lay_out(self) -> None:
        body, column = QWidget(), QVBoxLayout(self)
        texts = QVBoxLayout(body)
        texts.setContentsMargins(0, 0, 6, 0)
        texts.setSpacing(4)  # the first step's warning is whole on a screen of 1024 x 600
        parts: tuple[QWidget, ...] = (self._steps, self._title, self._clock, self._end)
        for part in (*parts, self._instruction, self.kinds, self._warning, self._details):
            texts.addWidget(part)
        texts.addStretch(1)
        self._area = Scrolling(body)
        column.setContentsMargins(14, 6, 14, 8)
        column.setSpacing(6)
        column.addWidget(self._area, 1)  # the buttons stay in sight, however low the window
        column.addWidget(self.forward)
        column.addWidget(self.back)

    def show_hold(self, hold: HoldScreen, palette: Palette) -> None:
        """Show the step."""
        if self._shown == (hold, palette) or hold.page == "none":
            return
        self._shown = (hold, palette)
        place = self.tr("Standing test, step {step} of {steps}")
        is_step = hold.page in WALK
        step = WALK.index(hold.page) + 1 if is_step else 0
        text = place.format(step=step, steps=len(WALK)) if is_step else self.tr("Isolation")
        self._steps.setText(text)
        for label, text in (
            (self._title, hold.finding.text or hold.title),
            (self._clock, hold.clock),
            (self._end, hold.end),
            (self._instruction, hold.instruction),
        ):
            label.setText(unbroken(text))
            label.setVisible(bool(text))
        self.kinds.show_kinds(hold.kinds, hold.kind)
        self._area.setAccessibleName(f"{self._steps.text()}: {self._title.text()}")
        told = (hold.clock, hold.end, hold.instruction, hold.warning, *hold.reasons)
        self._area.setAccessibleDescription(" ".join(filter(None, told)))
        self._warning.show_line(Line(hold.warning, "attention"), palette)
        colour = tone_colour(palette, hold.finding.tone)
        bar = f"border-left: 8px solid {colour}; padding-left: 10px;" if hold.finding.text else ""
        self._title.setStyleSheet(bar)
        self._details.show_details(hold.reasons, hold.limits, palette)
        if self._page != hold.page:
            self._page = hold.page
            self._area.verticalScrollBar().setValue(0)
        self.forward.name(hold.forward)
        self.forward.setVisible(bool(hold.forward))
        self.back.rename(hold.back)
        self.back.setVisible(bool(hold.back))


class KindBox(QWidget):
    """Asks for the kind of circuit, since that says how long it is held at least.

    Parameters
    ----------
    choose
        Gets the code of the kind that is chosen.
    """

    def __init__(self, choose: Callable[[str], None], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        name = QLabel(self.tr("This circuit (common practice):"))
        name.setFont(font(BASE_PX - 1))
        self.box = ChoiceBox()
        self.box.setFont(font(BASE_PX))
        self.box.setMinimumHeight(TOUCH_PX)
        self.box.setAccessibleName(self.tr("Kind of circuit"))
        self.box.activated.connect(lambda index: choose(self.box.itemData(index)))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        name.setBuddy(self.box)
        column.addWidget(name)
        column.addWidget(self.box)
        self._shown: tuple[tuple[str, str], ...] = ()

    def show_kinds(self, kinds: tuple[tuple[str, str], ...], kind: str) -> None:
        """Offer these; hide where there are none."""
        self.setVisible(bool(kinds))
        if kinds != self._shown:
            self._shown = kinds
            self.box.clear()
            for code, text in kinds:
                self.box.addItem(text, code)
        self.box.setCurrentIndex(max(self.box.findData(kind), 0))


class WarningLine(QFrame):
    """A warning with its triangle."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("warning")
        self._sign, self._text = QLabel(), _text(BASE_PX)
        self._sign.setFixedSize(32, 32)
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 4, 10, 4)
        row.addWidget(self._sign, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self._text, 1)

    def show_line(self, line: Line, palette: Palette) -> None:
        """Show the warning, or nothing."""
        self.setVisible(bool(line.text))
        self._text.setText(line.text)
        colour = tone_colour(palette, line.tone)
        ink = palette.on_tone
        self._sign.setPixmap(pixmap("caution", ink, 32, 2.0))
        self.setStyleSheet(
            f"#warning, #warning QLabel {{ background: {colour}; color: {ink};"
            " border: none; border-radius: 6px; }"
        )


class Details(QWidget):
    """Reasons and limits of a finding."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)
        self._shown: object = None

    def show_details(
        self, reasons: tuple[str, ...], limits: tuple[LimitLine, ...], palette: Palette
    ) -> None:
        """Show them; nothing at all where there are none."""
        if self._shown == (reasons, limits, palette):
            return
        self._shown = (reasons, limits, palette)
        self.setVisible(bool(reasons or limits))
        while (item := self._column.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()  # it is deleted later, and would be seen through the new ones
                widget.deleteLater()
        for limit in limits:
            self._column.addWidget(_limit_row(limit, palette))
        for reason in reasons:
            label = _text(BASE_PX)
            label.setText(unbroken("•  " + reason))
            self._column.addWidget(label)


def _limit_row(limit: LimitLine, palette: Palette) -> QWidget:
    row = QWidget()
    sign, text = QLabel(), _text(BASE_PX)
    colour = palette.good if limit.passed else palette.danger
    sign.setFixedSize(22, 22)
    sign.setPixmap(pixmap("good" if limit.passed else "danger", colour, 22, 2.0))
    text.setText(unbroken(limit.text))
    text.setToolTip(plain_tip(limit.source))
    line = QHBoxLayout(row)
    line.setContentsMargins(0, 0, 0, 0)
    line.addWidget(sign, 0, Qt.AlignmentFlag.AlignTop)
    line.addWidget(text, 1)
    row.setToolTip(plain_tip(limit.source))
    outcomes = limit_phrases(QCoreApplication.translate)
    outcome = outcomes["met" if limit.passed else "not-met"]
    row.setAccessibleName(f"{limit.text}: {outcome}")
    text.setAccessibleName(row.accessibleName())  # readers go to the text, not to its row
    return row


def _text(px: int, *, is_bold: bool = False) -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setFont(font(px, bold=is_bold))
    return label
