"""The second sheet: the technical page, laid out to fit, whatever a job holds."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.report.markup import GREY, safe
from app.report.page import Contents, new_document, paint_document
from app.technical_phrases import technical_headings, technical_phrases

_SIZES_PT = (8.5, 8.0, 7.5, 7.0, 6.5, 6.0, 5.5, 5.0, 4.5)
_MOST_TEXT, _MOST_LINES, _MOST_CELL = 320, 16, 120


def technical_html(contents: Contents) -> str:
    """Write the page as HTML: escaped, bounded, nothing else let in."""
    phrases = technical_phrases(contents.translate)
    title = safe(technical_headings(contents.translate)["title"], 60)
    parts = [f'<p><span style="font-size:large"><b>{title}</b></span></p>']
    parts.append(f'<p><span style="color:{GREY}">{safe(phrases["lead"], _MOST_TEXT)}</span></p>')
    for section in contents.technical:
        parts.append(f"<p>&nbsp;</p><p><b>{safe(section.heading, 120)}</b></p>")
        parts += [f"<p>{safe(line, _MOST_TEXT)}</p>" for line in section.lines[:_MOST_LINES]]
        if section.table:
            parts.append(_table(section.table))
    job = contents.record.start.job_id[:40] if contents.record.start else "–"
    foot = phrases["page"].format(page=2, job=job, hash=contents.record.last_hash.hex())
    parts.append(f'<p>&nbsp;</p><p><span style="color:{GREY}">{safe(foot, 200)}</span></p>')
    return "".join(parts)


def _table(rows: Sequence[Sequence[str]]) -> str:
    head, *body = rows
    lines = ["".join(f'<td style="color:{GREY}">{safe(c, _MOST_CELL)}&nbsp; </td>' for c in head)]
    lines += ["".join(f"<td>{safe(c, _MOST_CELL)}&nbsp; </td>" for c in row) for row in body]
    return f'<table cellspacing="1">{"".join(f"<tr>{line}</tr>" for line in lines)}</table>'


def paint_technical(painter: QPainter, contents: Contents, sheet: QRectF) -> float:
    """Paint the page in the largest type that fits; give the share of the sheet left free."""
    html = technical_html(contents)
    for size_pt in _SIZES_PT:
        document = new_document(painter.device(), html, sheet.width(), size_pt)
        if document.size().height() <= sheet.height():
            break
    painter.save()
    painter.setClipRect(sheet)
    paint_document(painter, document, sheet.left(), sheet.top())
    painter.restore()
    return 1.0 - document.size().height() / sheet.height()
