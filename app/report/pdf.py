"""The record as a PDF: two A4 pages and what these had no room for, written whole or not at all."""

import os
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, tzinfo
from pathlib import Path
from uuid import uuid4

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QRectF
from PySide6.QtGui import (
    QFontDatabase,
    QGuiApplication,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
)

from app import __version__
from app.report.course import follow
from app.report.list_pages import ListPages
from app.report.markup import plain
from app.report.moments import Moments
from app.report.page import Contents, PagePainter
from app.report.record import Record, read_record
from app.report.technical import TechnicalWriter
from app.report.technical_page import paint_technical
from app.report.writer import write_page
from app.system.atomic import settle
from app.system.errors import UsageError
from app.words.phrases import Translate, english
from app.words.sentences import Words

_MARGIN_MM = 12.0
_DPI = 1200


def make_report(
    job: Path,
    target: Path,
    *,
    now: datetime,
    unit: str = "micron",
    may_replace: bool = False,
    zone: tzinfo | None = None,
    translate: Translate = english,
) -> Record:
    """Make the pages from a job file, and give what it was made from.

    Parameters
    ----------
    now
        When the page is made, aware.
    may_replace
        Replace a file that is there.

    Raises
    ------
    UsageError
        If the job cannot be read, or the page cannot be written.
    """
    record = read_record(job)  # first: what is no job is told as such, whatever its name
    check_target(job, target, may_replace=may_replace)
    course = follow(record)
    text = write_page(record, course, now=now, unit=unit, zone=zone, translate=translate)
    words = Words(unit=unit, translate=translate)
    moments = Moments(record, translate, zone)
    technical = TechnicalWriter(moments, course, words).sections()
    pdf = render(Contents(text, record, course, unit, translate, technical))
    check_target(job, target, may_replace=may_replace)  # the analysis may have taken a while
    _write(target, pdf)
    return record


def check_target(job: Path, target: Path, *, may_replace: bool) -> None:
    """Refuse to write over what should stay.

    Raises
    ------
    UsageError
        If the target is there (unless ``may_replace``), is the job itself or no plain file.
    """
    if not os.path.exists(target):  # which is no error where it cannot be looked up
        return
    if job.exists() and target.samefile(job):
        raise UsageError(f"{target} is the job itself: choose another name for the report.")
    if not target.is_file():
        raise UsageError(f"{target} is no file: give the name of a PDF to make.")
    if not may_replace:
        raise UsageError(f"{target} exists already: choose another name, or add --replace.")


def render(contents: Contents) -> bytes:
    """Paint all pages and give the PDF.

    Raises
    ------
    UsageError
        If this computer has no font to print with.
    """
    with_application()
    if not QFontDatabase.families():
        raise UsageError("This computer has no fonts: install some, such as fonts-liberation.")
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(_DPI)
    writer.setPageLayout(
        QPageLayout(
            QPageSize(QPageSize.PageSizeId.A4),
            QPageLayout.Orientation.Portrait,
            QMarginsF(_MARGIN_MM, _MARGIN_MM, _MARGIN_MM, _MARGIN_MM),
            QPageLayout.Unit.Millimeter,
        )
    )
    writer.setTitle(plain(f"{contents.text.title} {contents.text.subtitle}", 120))
    writer.setCreator(f"simmerdown {__version__}")
    painter = QPainter(writer)
    try:
        sheet = QRectF(0.0, 0.0, writer.width(), writer.height())
        first = PagePainter(painter, writer, sheet)
        sizes = first.sizes(contents)
        further = ListPages(painter, contents, sheet, sizes)
        contents = replace(contents, pages=2 + len(further.sheets))
        first.paint(contents, sizes)
        writer.newPage()
        paint_technical(painter, contents, sheet)
        for at in range(len(further.sheets)):
            writer.newPage()
            further.paint(at, 3 + at, contents.pages)
    finally:
        painter.end()
    buffer.close()
    return bytes(buffer.data().data())


def with_application() -> QGuiApplication:
    """Give the one application object; where none is, one that needs no screen."""
    present = QGuiApplication.instance()
    if isinstance(present, QGuiApplication):
        return present
    if sys.platform not in ("win32", "darwin"):
        # Even where a screen is named it may not answer, and Qt would end the program.
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    return QGuiApplication(sys.argv[:1])


def _write(target: Path, content: bytes) -> None:
    part = target.with_name(f".{uuid4().hex}.part")
    try:
        part.write_bytes(content)
        settle(part, target)
    except OSError as error:
        why = error.strerror or str(error)
        raise UsageError(f"{target} cannot be written: {why}.") from error
    finally:
        _remove(part.unlink)


def _remove(unlink: Callable[[], None]) -> None:
    try:
        unlink()
    except OSError:
        pass  # it has its own name by now, or never came to be
