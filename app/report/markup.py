"""The page's texts as HTML that a QTextDocument lays out: escaped, bounded, nothing else let in."""

import unicodedata
from collections.abc import Iterable, Sequence
from html import escape

from app.report.events import kept
from app.report.page_text import Event, Facts, HoldText, JointRow, LimitRow, PageText
from app.report.sizes import Sizes
from app.words.display import NO_BREAK

_MOST_MARKS = 2  # accents on one letter; more of them would grow over the lines beside it
GREY = "#555555"


def plain(text: str, most: int) -> str:
    r"""Make a stranger's text harmless: one line, at most so long, no invisible characters.

    Examples
    --------
    >>> plain("a\u202e  grey\nvan", 40), plain("abcdef", 4)
    ('a grey van', 'abc…')
    """
    kept_characters: list[str] = []
    marks = 0
    for character in unicodedata.normalize("NFC", text[: 4 * most]):
        category = unicodedata.category(character)
        marks = marks + 1 if category.startswith("M") else 0
        if character == NO_BREAK:  # between the digits of a number
            kept_characters.append(character)
        elif category.startswith(("C", "Z")):
            kept_characters.append(" ")
        elif marks <= _MOST_MARKS:
            kept_characters.append(character)
    one_line = " ".join(part for part in "".join(kept_characters).split(" ") if part)
    return one_line if len(one_line) <= most else one_line[: most - 1].rstrip() + "…"


def safe(text: str, most: int) -> str:
    """Make a text harmless and escape it."""
    return escape(plain(text, most))


def head(page: PageText, sizes: Sizes) -> str:
    """Write title, what the job is called, and what changes the worth of the whole page."""
    parts = [f'<span style="font-size:{2 * sizes.text_pt:g}pt"><b>{escape(page.title)}</b></span>']
    if page.subtitle:
        parts.append(f" &nbsp; {safe(page.subtitle, sizes.field)}")
    rows = "".join(
        f'<tr><td style="border:1.5px solid black; padding:3px"><b>{safe(text, 240)}</b></td></tr>'
        for text in page.banners
    )
    table = f'<table width="100%" cellspacing="2">{rows}</table>' if rows else ""
    return f"<p>{''.join(parts)}</p>{table}"


def facts(block: Facts, sizes: Sizes) -> str:
    """Write a heading with names and values."""
    rows = "".join(
        f'<p><span style="color:{GREY}">{escape(name)}:</span> {safe(value, sizes.field)}</p>'
        for name, value in block.rows
    )
    return _heading(block.heading) + rows


def hold(text: HoldText, heading: str, more: str, sizes: Sizes) -> str:
    """Write the finding and what it rests on."""
    shown, left = _cut(text.reasons, sizes.reasons)
    reasons = "".join(f"<p>• {safe(reason, sizes.reason)}</p>" for reason in shown)
    if left:
        reasons += f"<p>{escape(more.format(count=left))}</p>"
    word = f'<span style="font-size:{1.5 * sizes.text_pt:g}pt"><b>{escape(text.word)}</b></span>'
    return (
        f"<p><b>{escape(heading)}:</b> {word}</p>"
        f"<p><b>{safe(text.sentence, 2 * sizes.reason)}</b></p>{reasons}"
    )


def limits(rows: Sequence[LimitRow], heading: str, words: dict[str, str], sizes: Sizes) -> str:
    """Write the limits, each with its outcome as a word and its source."""
    if not rows:
        return _heading(heading) + f"<p>{escape(words['no-limits'])}</p>"
    sources = list(dict.fromkeys(plain(row.source, sizes.source) for row in rows))
    lines = []
    for row in rows:
        outcome = escape(row.outcome)
        cells = [row.value, row.limit, f"&nbsp; {outcome if row.passed else f'<b>{outcome}</b>'}"]
        cells[:2] = [f"&nbsp;{safe(cell, 24)}" for cell in cells[:2]]
        line = "".join(f'<td align="right">{cell}</td>' for cell in cells)
        lines.append(f"<tr><td>{safe(row.name, 40)}</td>{line}</tr>")
        if len(sources) > 1:
            text = words["source"].format(source=plain(row.source, sizes.source))
            lines.append(f'<tr><td colspan="4">{_grey(text)}</td></tr>')
    table = f'<table width="100%" cellspacing="1">{"".join(lines)}</table>'
    if len(sources) == 1:
        table += f"<p>{_grey(words['sources'].format(source=sources[0]))}</p>"
    return _heading(heading) + table


def joints(rows: Sequence[JointRow], heading: str, words: dict[str, str], sizes: Sizes) -> str:
    """Write the joints; of a long list the first ones and how many more."""
    if not rows:
        return _heading(heading) + f"<p>{escape(words['none'])}</p>"
    shown, left = _cut(rows, sizes.joints)
    lines = joint_rows(shown, sizes.cell)
    if left:
        lines.append(f'<tr><td colspan="3">{escape(words["more"].format(count=left))}</td></tr>')
    return _heading(heading) + f'<table width="100%" cellspacing="1">{"".join(lines)}</table>'


def joint_rows(rows: Sequence[JointRow], most: int) -> list[str]:
    """Write one row of a table for each joint."""
    return [
        f"<tr><td><b>{safe(row.name, most)}</b>&nbsp; </td>"
        f"<td>{safe(row.evidence, most)}&nbsp; </td>"
        f"<td>{escape(row.state)}</td></tr>"
        for row in rows
    ]


def events(rows: tuple[Event, ...], heading: str, words: dict[str, str], sizes: Sizes) -> str:
    """Write what happened; of a long list the weightiest and how many more."""
    if not rows:
        return _heading(heading) + f"<p>{escape(words['none'])}</p>"
    shown, left = kept(rows, sizes.events)
    lines = event_rows(shown, sizes.event)
    if left:
        text = escape(words["more"].format(count=left))
        lines.append(f"<tr><td></td><td></td><td></td><td>{text}</td></tr>")
    return _heading(heading) + f'<table width="100%" cellspacing="1">{"".join(lines)}</table>'


def event_rows(rows: Sequence[Event], most: int) -> list[str]:
    """Write one row of a table for each, with the day where another one begins."""
    days = ["", *(row.date for row in rows)]
    return [
        f'<tr><td><b>{row.letter}</b>&nbsp;</td><td align="right">{row.clock}&nbsp;</td>'
        f'<td align="right" style="color:{GREY}">'
        f"{row.date + NO_BREAK if row.date != day else ''}{row.local}&nbsp;</td>"
        f"<td>{safe(row.text, most)}</td></tr>"
        for row, day in zip(rows, days, strict=False)
    ]


def foot(page: PageText, headings: dict[str, str], sizes: Sizes, pages: int) -> str:
    """Write what the record cannot say, and how to check it."""
    cannot = " ".join(safe(text, 600) for text in page.cannot)
    numbered = headings["page"].format(page=1, pages=pages)
    proof = " ".join(safe(text, 600) for text in (*page.proof, numbered))
    mono = f'<span style="font-family:{MONO}; font-size:{sizes.text_pt:g}pt">'
    return (
        f"<p><b>{escape(headings['cannot'])}.</b> {cannot}</p>"
        f'<p style="margin-top:3px"><b>{escape(headings["proof"])}.</b> {escape(page.hash_label)}'
        f"{mono}{page.hash}</span><br/>{proof}</p>"
        f'<p style="margin-top:8px">{escape(page.signed)}</p>'
    )


MONO = "'DejaVu Sans Mono','Liberation Mono','Consolas','Menlo','Courier New',monospace"


def _grey(text: str) -> str:
    return f'<span style="color:{GREY}">{escape(text)}</span>'


def _heading(text: str) -> str:
    return f"<p><b>{escape(text)}</b></p>"


def _cut(rows: Iterable[object], most: int) -> tuple[list, int]:  # type: ignore[type-arg]
    listed = list(rows)
    if len(listed) <= most:
        return listed, 0
    return listed[: most - 1], len(listed) - most + 1
