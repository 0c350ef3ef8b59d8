"""What a PDF says, read back by another program than the one that wrote it."""

import re
import unicodedata
from pathlib import Path

from pypdf import PdfReader


def text_of(pdf: Path) -> str:
    """Give the text of the one page, blanks and line ends made one blank."""
    reader = PdfReader(pdf)
    assert len(reader.pages) == 1
    text = unicodedata.normalize("NFKC", reader.pages[0].extract_text())  # "fi" may be one glyph
    return re.sub(r"\s+", " ", text)
