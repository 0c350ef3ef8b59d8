"""The second sheet: the technical page, laid out to fit, whatever a job holds."""

from collections.abc import Sequence
from typing import NamedTuple

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.report.list_pages import foot_line
from app.report.markup import GREY, safe
from app.report.page import Contents, new_document, paint_document
from app.report.technical_phrases import technical_headings, technical_phrases

_MOST_LINES = 16


class Level(NamedTuple):
    """One tightness of the page: size of the type, most characters of a line and of a cell."""

    text_pt: float
    line: int
    cell: int


LEVELS = (
    *(Level(0.5 * half, 320, 120) for half in range(17, 10, -1)),
    Level(5.0, 240, 80),
    Level(5.0, 140, 40),
    Level(4.5, 90, 20),
)
"""The last one always fits: a test fills it with the longest texts."""


def technical_html(contents: Contents, level: Level) -> str:
    """Write the page as HTML: escaped, bounded, nothing else let in."""
    phrases = technical_phrases(contents.translate)
    title = safe(technical_headings(contents.translate)["title"], 60)
    parts = [f'<p><span style="font-size:large"><b>{title}</b></span></p>']
    parts.append(f'<p><span style="color:{GREY}">{safe(phrases["lead"], level.line)}</span></p>')
    for section in contents.technical:
        parts.append(f"<p>&nbsp;</p><p><b>{safe(section.heading, 80)}</b></p>")
        parts += [f"<p>{safe(line, level.line)}</p>" for line in section.lines[:_MOST_LINES]]
        if section.table:
            parts.append(_table(section.table, level.cell))
    foot = foot_line(contents, 2, contents.pages)
    parts.append(f'<p>&nbsp;</p><p><span style="color:{GREY}">{safe(foot, 200)}</span></p>')
    return "".join(parts)


def _table(rows: Sequence[Sequence[str]], most: int) -> str:
    head, *body = rows
    lines = ["".join(f'<td style="color:{GREY}">{safe(c, most)}&nbsp; </td>' for c in head)]
    lines += ["".join(f"<td>{safe(c, most)}&nbsp; </td>" for c in row) for row in body]
    return f'<table cellspacing="1">{"".join(f"<tr>{line}</tr>" for line in lines)}</table>'


def paint_technical(painter: QPainter, contents: Contents, sheet: QRectF) -> float:
    """Paint the page in the largest type that fits; give the share of the sheet left free."""
    for level in LEVELS:
        html = technical_html(contents, level)
        document = new_document(painter.device(), html, sheet.width(), level.text_pt)
        if document.size().height() <= sheet.height():
            break
    painter.save()
    painter.setClipRect(sheet)
    paint_document(painter, document, sheet.left(), sheet.top())
    painter.restore()
    return 1.0 - document.size().height() / sheet.height()
