"""What a PDF says, read back by another program than the one that wrote it."""

import re
import unicodedata
from pathlib import Path

from pypdf import PdfReader


def text_of(pdf: Path) -> str:
    """Give the text of the first page, blanks and line ends made one blank."""
    return _text(pdf, 0)


def technical_of(pdf: Path) -> str:
    """Give the text of the technical page."""
    return _text(pdf, 1)


def further_of(pdf: Path) -> list[str]:
    """Give the texts of the pages after these two."""
    return [_text(pdf, page) for page in range(2, len(PdfReader(pdf).pages))]


def _text(pdf: Path, page: int) -> str:
    reader = PdfReader(pdf)
    text = unicodedata.normalize("NFKC", reader.pages[page].extract_text())  # "fi": one glyph
    return re.sub(r"\s+", " ", text)
