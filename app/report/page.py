"""The page: texts take the room they need, and the charts what is left of one A4 sheet."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QRectF, QSizeF
from PySide6.QtGui import (
    QAbstractTextDocumentLayout,
    QColor,
    QFont,
    QPaintDevice,
    QPainter,
    QPalette,
    QPen,
    QTextDocument,
    QTextOption,
)

from app.report import markup
from app.report.course import Course
from app.report.drawings import Drawings
from app.report.events import kept
from app.report.hold_text import shown_closing
from app.report.page_text import PageText
from app.report.phrases import (
    chart_phrases,
    event_phrases,
    heading_phrases,
    hold_phrases,
    joint_phrases,
)
from app.report.record import Record
from app.report.sizes import LEVELS, Sizes
from app.report.technical import Section
from app.words.phrases import Translate

FAMILIES = ("Liberation Sans", "Arial", "Helvetica", "Noto Sans", "DejaVu Sans")
_GAP_MM = 1.6
_CHARTS_MM = 92.0  # least height of both rows of charts together
_RUN_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class Contents:
    """What is to be printed: the first page's texts, and the technical page's sections."""

    text: PageText
    record: Record
    course: Course
    unit: str
    translate: Translate
    technical: tuple[Section, ...] = ()
    pages: int = 2  # so many sheets are printed, this one and the technical page among them


class PagePainter:
    """Lays the page out on a device and paints it.

    Parameters
    ----------
    painter
        Active on ``device``.
    rect
        The sheet without its margins, device units.
    """

    def __init__(self, painter: QPainter, device: QPaintDevice, rect: QRectF) -> None:
        self._painter, self._device, self._rect = painter, device, rect
        self._mm = device.logicalDpiX() / 25.4

    def sizes(self, contents: Contents) -> Sizes:
        """Give the roomiest texts that leave enough for the charts."""
        for sizes in LEVELS:
            if self._left(*self._rows(contents, sizes)) >= _CHARTS_MM * self._mm:
                break
        return sizes

    def _left(self, above: list["_Row"], below: list["_Row"]) -> float:
        """Give the height that these texts leave."""
        texts = sum(row.height + _GAP_MM * self._mm for row in (*above, *below))
        return self._rect.height() - texts

    def paint(self, contents: Contents, sizes: Sizes) -> float:
        """Paint; give the height that was left for the charts, mm."""
        gap = _GAP_MM * self._mm
        above, below = self._rows(contents, sizes)
        left = self._left(above, below)
        top = self._rect.top()
        for row in above:
            top += row.paint(self._painter, self._rect.left(), top) + gap
        self._charts(
            contents, sizes, QRectF(self._rect.left(), top, self._rect.width(), left - gap)
        )
        top += left
        for row in below:
            top += row.paint(self._painter, self._rect.left(), top) + gap
        return left / self._mm

    def _rows(self, contents: Contents, sizes: Sizes) -> tuple[list["_Row"], list["_Row"]]:
        text, translate = contents.text, contents.translate
        headings, holds = heading_phrases(translate), hold_phrases(translate)
        joint_words, event_words = joint_phrases(translate), event_phrases(translate)
        above = [
            self._row([markup.head(text, sizes)], [1.0], sizes),
            self._row(
                [markup.facts(block, sizes) for block in text.facts], [1.0, 1.1, 1.0, 1.0], sizes
            ),
            self._row(
                [
                    markup.hold(text.hold, headings["hold"], holds["more"], sizes),
                    markup.limits(text.hold.limits, headings["limits"], holds, sizes),
                ],
                [1.25, 1.0],
                sizes,
                is_boxed=True,
            ),
        ]
        below = [
            self._row(
                [
                    markup.joints(text.joints, headings["joints"], joint_words, sizes),
                    markup.events(text.events, headings["events"], event_words, sizes),
                ],
                [1.0, 1.25] if text.joints else [1.0, 3.0],
                sizes,
            ),
            self._row([markup.foot(text, headings, sizes, contents.pages)], [1.0], sizes),
        ]
        return above, below

    def _row(
        self, texts: Sequence[str], shares: Sequence[float], sizes: Sizes, *, is_boxed: bool = False
    ) -> "_Row":
        between = 3.0 * self._mm
        room = self._rect.width() - between * (len(texts) - 1)
        padding = 1.5 * self._mm if is_boxed else 0.0
        room -= 2.0 * padding
        cells, left = [], padding
        for text, share in zip(texts, shares, strict=True):
            width = room * share / sum(shares)
            cells.append((left, new_document(self._device, text, width, sizes.text_pt)))
            left += width + between
        return _Row(cells, self._rect.width(), padding, 0.3 * self._mm if is_boxed else 0.0)

    def _charts(self, contents: Contents, sizes: Sizes, rect: QRectF) -> None:
        self._painter.setFont(font(max(sizes.text_pt - 1.0, 5.5)))
        drawings = Drawings(
            contents.record,
            contents.course,
            chart_phrases(contents.translate),
            contents.unit,
            self._mm,
        )
        between = 2.0 * self._mm
        upper = QRectF(rect.topLeft(), QSizeF(rect.width(), _RUN_SHARE * rect.height()))
        drawings.run(self._painter, upper, kept(contents.text.events, sizes.events)[0])
        size = QSizeF((rect.width() - between) / 2.0, rect.height() - upper.height() - between)
        lower = QRectF(upper.bottomLeft(), size).translated(0.0, between)
        drawings.lulls(self._painter, lower)
        closing = shown_closing(contents.course)
        drawings.hold(self._painter, lower.translated(lower.width() + between, 0.0), closing)


@dataclass(frozen=True, slots=True)
class _Row:
    """Texts side by side, in a box or not."""

    cells: list[tuple[float, QTextDocument]]
    width: float
    padding: float
    line: float

    @property
    def height(self) -> float:
        """Height of the highest text."""
        return max(cell.size().height() for _, cell in self.cells) + 2.0 * self.padding

    def paint(self, painter: QPainter, left: float, top: float) -> float:
        """Paint; give the height."""
        height = self.height
        if self.line:
            painter.setPen(QPen(QColor("black"), self.line))
            painter.drawRect(QRectF(left, top, self.width, height))
        for shift, document in self.cells:
            paint_document(painter, document, left + shift, top + self.padding)
        if not self.line and len(self.cells) > 1:
            painter.setPen(QPen(QColor("#bbbbbb"), 0))
            for shift, _ in self.cells[1:]:
                x = left + shift - 0.008 * self.width
                painter.drawLine(QLineF(x, top, x, top + height))
        return height


def new_document(device: QPaintDevice, html: str, width: float, size_pt: float) -> QTextDocument:
    """Lay a text out at a width, in the font of the page."""
    document = QTextDocument()
    document.documentLayout().setPaintDevice(device)
    document.setDocumentMargin(0)
    document.setDefaultFont(font(size_pt))
    document.setDefaultStyleSheet("p { margin: 0 } td { padding: 0 }")
    option = QTextOption()
    option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
    document.setDefaultTextOption(option)
    document.setHtml(html)
    document.setTextWidth(width)
    return document


def paint_document(painter: QPainter, document: QTextDocument, left: float, top: float) -> None:
    """Paint a text, black whatever the theme is."""
    context = QAbstractTextDocumentLayout.PaintContext()
    context.palette.setColor(QPalette.ColorRole.Text, QColor("black"))
    painter.save()
    painter.translate(left, top)
    document.documentLayout().draw(painter, context)
    painter.restore()


def font(size_pt: float) -> QFont:
    """Give the font of the page."""
    made = QFont(list(FAMILIES))
    made.setStyleHint(QFont.StyleHint.SansSerif)
    made.setPointSizeF(size_pt)
    return made
