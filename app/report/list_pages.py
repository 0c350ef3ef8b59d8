"""Further sheets for what the first page had no room for: all joints, and all that happened."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QTextDocument

from app.report.events import kept
from app.report.markup import GREY, event_rows, joint_rows, safe
from app.report.page import Contents, new_document, paint_document
from app.report.phrases import event_phrases, heading_phrases, list_phrases
from app.report.sizes import Sizes
from app.report.technical_phrases import technical_phrases

_TEXT_PT = 7.5
_MOST_EVENTS = 400
_MOST_TEXT, _LEAST_TEXT = 4000, 160  # characters of one row: a long note is printed whole
_ALL_TEXT = 60_000  # characters of all rows, about: ten sheets, whatever a job holds
_AT_ONCE = 90  # rows tried on one sheet


class Listed(NamedTuple):
    """One list: its heading, and the rows of its table as HTML."""

    heading: str
    rows: Sequence[str]


def lists(contents: Contents, sizes: Sizes) -> tuple[Listed, ...]:
    """Give the lists that the first page cuts, or whose texts it cuts, at this tightness."""
    text, headings, found = contents.text, heading_phrases(contents.translate), []
    joints, events = text.joints, text.events
    said = [part for row in joints for part in (row.name, row.evidence)]
    if len(joints) > sizes.joints or any(len(part) > sizes.cell for part in said):
        found.append(Listed(headings["joints"], joint_rows(joints, _most(len(joints)))))
    if len(events) > sizes.events or any(len(row.text) > sizes.event for row in events):
        shown, left = kept(events, _MOST_EVENTS)
        rows = event_rows(shown, _most(len(shown)))
        if left:
            more = event_phrases(contents.translate)["more-in-file"].format(count=left)
            rows.append(f"<tr><td></td><td></td><td></td><td>{safe(more, 80)}</td></tr>")
        found.append(Listed(headings["events"], rows))
    return tuple(found)


class ListPages:
    """Lays the lists out on as many sheets as they need.

    Parameters
    ----------
    painter
        Active on the device that is printed on.
    sheet
        One sheet without its margins, device units.
    """

    def __init__(self, painter: QPainter, contents: Contents, sheet: QRectF, sizes: Sizes) -> None:
        self._painter, self._contents, self._sheet = painter, contents, sheet
        foot = self._foot(0, 0)
        self._room = sheet.height() - 2.0 * foot.size().height()
        self.sheets = [
            document for each in lists(contents, sizes) for document in self._laid_out(each)
        ]

    def paint(self, at: int, page: int, pages: int) -> None:
        """Paint one of :attr:`sheets`, with its number at the bottom."""
        painter, sheet, foot = self._painter, self._sheet, self._foot(page, pages)
        painter.save()
        painter.setClipRect(sheet)
        paint_document(painter, self.sheets[at], sheet.left(), sheet.top())
        paint_document(painter, foot, sheet.left(), sheet.bottom() - foot.size().height())
        painter.restore()

    def _laid_out(self, listed: Listed) -> Iterator[QTextDocument]:
        phrases, done = list_phrases(self._contents.translate), 0
        while done < len(listed.rows):
            pattern = phrases["begun" if done else "first"]
            heading = pattern.format(heading=listed.heading)
            count = min(_AT_ONCE, len(listed.rows) - done)
            document = self._document(heading, listed.rows[done : done + count])
            while count > 1 and document.size().height() > self._room:
                count -= max(1, count // 10)
                document = self._document(heading, listed.rows[done : done + count])
            done += count
            yield document

    def _document(self, heading: str, rows: Sequence[str]) -> QTextDocument:
        html = f'<p><b>{safe(heading, 120)}</b></p><table cellspacing="1">{"".join(rows)}</table>'
        return new_document(self._painter.device(), html, self._sheet.width(), _TEXT_PT)

    def _foot(self, page: int, pages: int) -> QTextDocument:
        text = foot_line(self._contents, page, pages)
        html = f'<p><span style="color:{GREY}">{safe(text, 200)}</span></p>'
        return new_document(self._painter.device(), html, self._sheet.width(), _TEXT_PT)


def foot_line(contents: Contents, page: int, pages: int) -> str:
    """Say which page of which job this is."""
    start = contents.record.start
    return technical_phrases(contents.translate)["page"].format(
        page=page,
        pages=pages,
        job=start.job_id[:40] if start else "–",
        hash=contents.record.last_hash.hex(),
    )


def _most(rows: int) -> int:
    return max(_LEAST_TEXT, min(_MOST_TEXT, _ALL_TEXT // max(rows, 1)))
