"""The printed page, read back with pypdf."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QMarginsF, QRectF
from PySide6.QtGui import QPageSize, QPainter, QPdfWriter

from analysis.sample import Mark
from app.jobfile.rows import Gap, LinkChange
from app.report.course import Course, follow
from app.report.page import Contents, PagePainter
from app.report.page_text import HoldText, LimitRow
from app.report.pdf import make_report, render, with_application
from app.report.record import Record, read_record
from app.report.writer import write_page
from app.system.errors import UsageError
from app.words.phrases import english
from sensors.events import Reading
from tests.app.report.conftest import NOW, MakeJob, held, played
from tests.app.report.printed import further_of, technical_of, text_of

A4_PT = (595.3, 841.9)  # ISO 216: 210 mm x 297 mm
LONG = "<b>long</b> & W" + "W" * 400


def printed(job: Path, tmp_path: Path) -> Path:
    target = tmp_path / "page.pdf"
    make_report(job, target, now=NOW)
    return target


def drawn(leak: tuple[Record, Course], target: Path, unit: str = "micron") -> Path:
    text = write_page(*leak, now=NOW, unit=unit)
    target.write_bytes(render(Contents(text, *leak, unit, english)))
    return target


def test_it_is_two_a4_pages_with_their_fonts(leak: tuple[Record, Course], tmp_path: Path) -> None:
    reader = PdfReader(drawn(leak, tmp_path / "page.pdf"))
    page, _technical = reader.pages
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(A4_PT, abs=1)
    fonts = page["/Resources"]["/Font"]  # type: ignore[index]
    assert fonts
    for font in fonts.values():
        descendant = font.get_object()["/DescendantFonts"][0].get_object()
        assert {"/FontFile2", "/FontFile3"} & set(descendant["/FontDescriptor"].get_object())


def test_it_says_what_stands_in_the_job(leak: tuple[Record, Course], tmp_path: Path) -> None:
    text = text_of(drawn(leak, tmp_path / "page.pdf"))
    record, _ = leak
    for part in (
        "Evacuation record",
        "grey van, invented",
        "R-1234yf",
        "condenser in",
        "O-ring renewed",
        "LEAK",
        "NOT MET",
        "common practice, no published source",
        "Marked: isolating valve closed",
        "may show only under pressure",
        "It does not restore a spent desiccant",
        record.last_hash.hex(),
        "simmerdown verify leak.simmerdown --hash",
        "ice possible below",
        "flat: a burst in 10 min",
        "leak: straight",
    ):
        assert part in text, part


def test_the_same_job_makes_the_same_page(make_job: MakeJob, tmp_path: Path) -> None:
    job, pages = make_job(held("hold-leak", 130.0)), [tmp_path / "one.pdf", tmp_path / "two.pdf"]
    for page in pages:
        make_report(job, page, now=NOW)
    assert text_of(pages[0]) == text_of(pages[1])
    contents = [PdfReader(page).pages[0].get_contents() for page in pages]
    first, second = (each.get_data() for each in contents if each is not None)
    assert first == second  # the drawings too


def test_the_unit_is_that_asked_for(leak: tuple[Record, Course], tmp_path: Path) -> None:
    text = text_of(drawn(leak, tmp_path / "page.pdf", unit="mbar"))
    assert "pressure in mbar" in text
    assert "micron" not in text


def test_html_of_a_stranger_is_only_text(make_job: MakeJob, tmp_path: Path) -> None:
    fields = {
        "vehicle": '<img src="file:///etc/hostname"><h1>big</h1>',
        "joints": [{"name": "<table><tr>", "evidence": "&amp;</td>", "state": "leaks"}],
    }
    job = make_job([Reading(0.0, 50.0)], title="<script>1</script>", fields=fields)
    text = text_of(printed(job, tmp_path))
    for part in ('<img src="file:///etc/hostname"><h1>big</h1>', "<table><tr>", "&amp;</td>"):
        assert part.replace(" ", "") in text.replace(" ", "")
    assert "<script>1</script>" in text


@pytest.mark.parametrize("readings", [[], [Reading(0.0, 0.0)], [Reading(0.0, 1e5)]])
def test_a_job_with_next_to_nothing(
    readings: list[Reading], make_job: MakeJob, tmp_path: Path
) -> None:
    text = text_of(printed(make_job(readings, title="", fields={}, extra=()), tmp_path))
    assert "NO STANDING TEST" in text
    assert "Too few bursts for a lull." in text


def test_readings_out_of_range_are_no_pressures(make_job: MakeJob, tmp_path: Path) -> None:
    readings = [Reading(float(t), 1e5, None, "over-range") for t in range(50)]
    text = text_of(printed(make_job(readings), tmp_path))
    assert "Out of range: 50" in text
    assert "Lowest: not known" in text


def test_a_damaged_file_is_printed_as_damaged(make_job: MakeJob, tmp_path: Path) -> None:
    job = make_job(played("wet", 60.0))
    job.write_bytes(job.read_bytes().replace(b"grey van", b"blue van"))
    text = text_of(printed(job, tmp_path))
    assert "NOT WHOLE" in text
    assert "it proves nothing" in text


def test_long_lists_say_how_much_more_there_is(make_job: MakeJob, tmp_path: Path) -> None:
    joints = [{"name": f"joint {n}", "evidence": "dusty", "state": "suspect"} for n in range(190)]
    items: list[Reading | Mark] = []
    for at, reading in enumerate(played("wet", 300.0)):
        items += [reading, Mark(reading.time_s, "note", f"note {at}")]
    pdf = printed(make_job(items, fields={"joints": joints}), tmp_path)
    text = text_of(pdf)
    more = [int(count) for count in re.findall(r"and (\d+) more, from page 3 on", text)]
    assert len(more) == 2
    shown = len(set(re.findall(r"joint \d+", text)))
    assert shown + more[0] == 190
    further = further_of(pdf)
    for kind, count in (("joint", 190), ("note", 300)):
        found = re.findall(rf"{kind} \d+", " ".join(further).replace("note: ", ""))
        assert sorted(found) == sorted(f"{kind} {n}" for n in range(count))
    pages = len(further) + 2
    assert f"Page 1 of {pages}." in text
    assert f"Page 2 of {pages}." in technical_of(pdf)
    for at, sheet in enumerate(further):
        assert f"Page {at + 3} of {pages}." in sheet
        assert sheet.count("in full") == 1


def test_a_long_note_is_printed_whole(make_job: MakeJob, tmp_path: Path) -> None:
    words = " ".join(f"word{n}" for n in range(300))
    items = [*played("wet", 60.0), Mark(61.0, "note", words)]
    (sheet,) = further_of(printed(make_job(items), tmp_path))
    assert words in sheet


def test_what_a_stranger_wrote_fills_no_book(make_job: MakeJob, tmp_path: Path) -> None:
    links = [LinkChange(float(n), "lost", LONG) for n in range(5000)]
    further = further_of(printed(make_job([Reading(5001.0, 50.0)], extra=links), tmp_path))
    assert 1 < len(further) < 30
    assert re.search(r"and 46\d\d more, see the job file", further[-1])


def test_a_short_job_has_two_pages(leak_job: Path, tmp_path: Path) -> None:
    pdf = printed(leak_job, tmp_path)
    assert further_of(pdf) == []
    assert "Page 1 of 2." in text_of(pdf)


def test_the_longest_texts_leave_room_for_the_charts(make_job: MakeJob, tmp_path: Path) -> None:
    joints = [{"name": LONG, "evidence": LONG, "state": "renewed"} for _ in range(500)]
    fields: dict[str, object] = dict.fromkeys(("vehicle", "refrigerant", "oil", "gauge"), LONG)
    links = [LinkChange(float(n), "lost", LONG) for n in range(500)]
    gaps = [Gap(float(n), n + 0.5, LONG) for n in range(500)]
    items = played("wet", 300.0)
    job = make_job(items, title=LONG, fields={**fields, "joints": joints}, extra=[*links, *gaps])
    record = read_record(job)
    course = follow(record)
    text = write_page(record, course, now=NOW)
    limits = tuple(LimitRow(LONG, LONG, LONG, "NOT MET", f"{n}{LONG}", False) for n in range(6))
    hold = HoldText("LEAK AND VAPOUR", LONG, (LONG,) * 12, limits)
    text = replace(text, hold=hold, banners=(LONG,) * 4)
    with_application()
    writer = QPdfWriter(str(tmp_path / "long.pdf"))
    writer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    writer.setPageMargins(QMarginsF(12.0, 12.0, 12.0, 12.0))
    painter = QPainter(writer)
    sheet = QRectF(0.0, 0.0, writer.width(), writer.height())
    contents = Contents(text, record, course, "micron", english)
    page = PagePainter(painter, writer, sheet)
    left_mm = page.paint(contents, page.sizes(contents))
    painter.end()
    assert left_mm > 60.0


def test_nothing_is_written_over(make_job: MakeJob, tmp_path: Path) -> None:
    job = make_job([Reading(0.0, 50.0)])
    target = tmp_path / "page.pdf"
    target.write_text("mine")
    with pytest.raises(UsageError, match="--replace"):
        make_report(job, target, now=NOW)
    assert target.read_text() == "mine"
    make_report(job, target, now=NOW, may_replace=True)
    assert target.read_bytes().startswith(b"%PDF")
    assert not list(tmp_path.glob("*.part"))


def test_the_job_itself_is_never_the_target(leak_job: Path) -> None:
    before = leak_job.read_bytes()
    with pytest.raises(UsageError, match="the job itself"):
        make_report(leak_job, leak_job, now=NOW, may_replace=True)
    assert leak_job.read_bytes() == before


def test_a_folder_that_is_not_there_is_told(make_job: MakeJob, tmp_path: Path) -> None:
    job = make_job([Reading(0.0, 50.0)])
    with pytest.raises(UsageError, match="cannot be written"):
        make_report(job, tmp_path / "nowhere" / "page.pdf", now=NOW)
    with pytest.raises(UsageError, match="is no file"):
        make_report(job, tmp_path, now=NOW, may_replace=True)
