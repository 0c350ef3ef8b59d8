"""Labels that keep their text whole: one takes a smaller type, the other ends in an ellipsis."""

import re
from html import escape

from PySide6 import QtGui
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from app.window.spoken import say
from app.window.theme import BASE_PX, TOUCH_PX, font

_FIELD_NAME_PX = 200  # a longer name of a field takes another line


def unbroken(text: str) -> str:
    r"""Keep each number and what follows it, its unit, on one line.

    Examples
    --------
    >>> unbroken("risen 1 220 micron in 5 min").count("\u00a0")
    3
    >>> unbroken("up to 3 h 05 min").count("\u00a0")
    3
    """
    text = re.sub(r"(?<=\d)[ \u2009](?=\S)", "\u00a0", text)
    return re.sub(r"(?<=\d\u00a0h) (?=\d\d\u00a0)", "\u00a0", text)


def plain_tip(text: str) -> str:
    """Keep a tool tip plain: Qt takes one that looks like HTML for it, and opens files it names.

    Examples
    --------
    >>> plain_tip("grey van"), plain_tip("<b>van</b>")
    ('grey van', '<qt>&lt;b&gt;van&lt;/b&gt;</qt>')
    """
    return f"<qt>{escape(text)}</qt>" if QtGui.Qt.mightBeRichText(text) else text


class SentenceLabel(QLabel):
    """Takes sentences: wrapped, and what they quote never taken for HTML."""

    def __init__(self) -> None:
        super().__init__()
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setMinimumWidth(1)  # a path of one long word must not push a dialog off the screen

    def tell(self, text: str) -> None:
        """Show what came of a key or a touch; a screen reader says it too."""
        self.setText(text)
        if text:
            say(self, text)


def field_label(text: str, field: QWidget | None = None) -> QLabel:
    """Name a field of a form, as high as the field.

    A screen reader on Linux knows a choice by the label beside it and not by a name of its own.
    """
    label = QLabel(text)
    label.setFont(font(BASE_PX))
    label.setMinimumHeight(TOUCH_PX)
    label.setWordWrap(True)
    label.setMinimumWidth(min(label.fontMetrics().horizontalAdvance(text) + 4, _FIELD_NAME_PX))
    if field is not None:
        label.setBuddy(field)
    return label


class FittingLabel(QLabel):
    """Shows its text as large as it fits, between two sizes.

    Parameters
    ----------
    smallest_px, largest_px
        Sizes of the type.
    """

    def __init__(
        self, smallest_px: int, largest_px: int, parent: QWidget | None = None, *, bold: bool = True
    ) -> None:
        super().__init__(parent)
        self._smallest, self.largest_px, self._bold = smallest_px, largest_px, bold
        self.setWordWrap(True)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setTextFormat(Qt.TextFormat.PlainText)

    def show_text(self, text: str) -> None:
        """Show a text; it is read out by a screen reader too."""
        self.setAccessibleName(text)
        text = unbroken(text)
        if text != self.text():
            self.setText(text)
            self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Fit the text anew."""
        super().resizeEvent(event)
        self._fit()

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Let the layout decide."""
        return QSize(80, self._smallest * 2)

    def _fit(self) -> None:
        room = self.contentsRect()
        low, high = self._smallest, self.largest_px
        while low < high:
            middle = (low + high + 1) // 2
            needed = QFontMetrics(font(middle, bold=self._bold)).boundingRect(
                room, int(Qt.TextFlag.TextWordWrap), self.text()
            )
            if needed.height() <= room.height() and needed.width() <= room.width():
                low = middle
            else:
                high = middle - 1
        self.setFont(font(low, bold=self._bold))


class ElidedLabel(QLabel):
    """Shows one line; what does not fit ends in an ellipsis and stands in the tool tip."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._whole = ""
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def show_text(self, text: str) -> None:
        """Show a text."""
        if text != self._whole:
            self._whole = text
            self.setToolTip(plain_tip(text))
            self.setAccessibleName(text)
            self.updateGeometry()
            self._elide()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Ask for the whole text's width."""
        metrics = QFontMetrics(self.font())
        return QSize(metrics.horizontalAdvance(self._whole) + 4, metrics.height() + 4)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Be content with a few letters."""
        return QSize(60, self.sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Cut anew."""
        super().resizeEvent(event)
        self._elide()

    def _elide(self) -> None:
        metrics = QFontMetrics(self.font())
        self.setText(metrics.elidedText(self._whole, Qt.TextElideMode.ElideRight, self.width()))
