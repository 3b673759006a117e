"""One batch as PDF for paper, and the fonts that paper is set in."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    Image,
    KeepTogether,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from bot.attachments import Diary, File
from bot.batch_record import NothingToShow
from bot.export.content import Page, Photo, Picture, page_of
from bot.export.content import Table as PageTable
from bot.export.qr import QUIET, qr_rows
from bot.pictures import look
from conversations.session.events import Attachment

FONT, BOLD = "PotsideSans", "PotsideSans-Bold"
MARGIN = 18 * mm
WIDE = A4[0] - 2 * MARGIN - 12
"""Of the text: the frame that the PDF writer puts on the page keeps 6 points on each side."""
MOST_TOGETHER = 20
INK, QUIET_INK, LINE = HexColor("#20242b"), HexColor("#575d66"), HexColor("#cfc6b4")


@lru_cache(maxsize=1)
def register_fonts() -> None:
    """Make the font of the pictures known to the PDF writer, which puts it into the file."""
    pdfmetrics.registerFont(TTFont(FONT, str(look.font_file())))
    pdfmetrics.registerFont(TTFont(BOLD, str(look.font_file(bold=True))))


def _style(size: float, bold: bool = False, colour: Any = INK, **more: Any) -> ParagraphStyle:
    return ParagraphStyle(
        "s", fontName=BOLD if bold else FONT, fontSize=size, leading=size * 1.35, textColor=colour, wordWrap="CJK", **more
    )


def text(words: str, style: ParagraphStyle) -> Paragraph:
    """A paragraph; nothing in the words is markup."""
    return Paragraph(escape(look.drawable(words)), style)


class Qr(Flowable):  # type: ignore[misc]
    """A QR code as squares, with its quiet zone, on white."""

    def __init__(self, code: str, side: float) -> None:
        super().__init__()
        self.rows, self.width, self.height = qr_rows(code), side, side

    def draw(self) -> None:
        """Called by the PDF writer."""
        draw_qr(self.canv, self.rows, 0, 0, self.width)


def draw_qr(canvas: Any, rows: list[list[bool]], left: float, bottom: float, side: float) -> None:
    """Squares of a QR code with its quiet zone inside the side."""
    module = side / (len(rows) + 2 * QUIET)
    canvas.setFillColorRGB(1, 1, 1)
    canvas.rect(left, bottom, side, side, stroke=0, fill=1)
    canvas.setFillColorRGB(0, 0, 0)
    path = canvas.beginPath()
    for y, row in enumerate(rows):
        for x, dark in enumerate(row):
            if dark:
                path.rect(left + (x + QUIET) * module, bottom + side - (y + QUIET + 1) * module, module, module)
    canvas.drawPath(path, stroke=0, fill=1)


def as_pdf(page: Page) -> bytes:
    """The page on A4."""
    register_fonts()
    out = io.BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize=A4,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
        title=look.drawable(page.title),
        author="Potside",
        invariant=1,
    )
    story: list[Any] = [_head(page), Spacer(1, 5 * mm), *_facts(page)]
    for title, lines in page.extra:
        story += _section(title, [text(line, _style(10)) for line in lines])
    story += _photos(page.photos)
    blocks = [[CondPageBreak(45 * mm), *_table(table)] for table in page.tables]
    # What went in comes first, then what happened to it, in pictures before numbers.
    blocks.insert(1, _pictures(page.pictures))
    story += [each for block in blocks for each in block]
    if page.notes:
        notes = [(text(when, _style(9, colour=QUIET_INK)), text(words, _style(9.5))) for when, words in page.notes]
        story += _section("Notes", [_rows(notes, (32 * mm, WIDE - 32 * mm), striped=False)])
    story += [Spacer(1, 6 * mm), text(f"{page.made} Times are {page.zone}.", _style(8, colour=QUIET_INK))]

    def foot(canvas: Any, _: Any) -> None:
        canvas.saveState()
        canvas.setFillColor(HexColor(page.colour))
        canvas.rect(0, 0, 6 * mm, A4[1], stroke=0, fill=1)
        canvas.setFillColor(QUIET_INK)
        canvas.setFont(FONT, 8)
        canvas.drawString(MARGIN + 6, 9 * mm, f"{look.drawable(page.title)[:70]}, {page.code}")
        canvas.drawRightString(A4[0] - MARGIN - 6, 9 * mm, f"page {canvas.getPageNumber()}")
        canvas.restoreState()

    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _head(page: Page) -> Table:
    name = look.drawable(page.title) or f"Batch {page.code}"
    title = [text(name, _style(22, bold=True)), Spacer(1, 1.5 * mm), text(page.subtitle, _style(10.5, colour=QUIET_INK))]
    code = [Qr(page.code, 22 * mm), text(page.code, _style(8.5, colour=QUIET_INK, alignment=1))]
    made = Table([[title, code]], colWidths=(WIDE - 26 * mm, 26 * mm))
    made.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)]))
    return made


def _facts(page: Page) -> list[Any]:
    cells: list[Any] = [[text(number, _style(14, bold=True)), text(what, _style(8.5, colour=QUIET_INK))] for what, number in page.facts]
    if not cells:
        return []
    across = 3
    rows = [cells[k : k + across] for k in range(0, len(cells), across)]
    rows[-1] = [*rows[-1], *([""] * (across - len(rows[-1])))]
    made = Table(rows, colWidths=[WIDE / across] * across)
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("LINEABOVE", (0, 0), (-1, 0), 0.6, LINE),
                ("LINEBELOW", (0, 0), (-1, -1), 0.6, LINE),
            ]
        )
    )
    return [made]


def _section(title: str, inside: list[Any]) -> list[Any]:
    heading = [Spacer(1, 6 * mm), text(title, _style(13, bold=True)), Spacer(1, 1.5 * mm)]
    return [KeepTogether([*heading, inside[0]]), *inside[1:]]


def _table(table: PageTable) -> list[Any]:
    small = _style(9)
    head = [text(cell, _style(8.5, colour=QUIET_INK)) for cell in table.head]
    rows: list[Any] = [head]
    for number, row in enumerate(table.rows):
        if number in table.struck:
            gone = _style(9, colour=QUIET_INK)
            cells = [Paragraph(f"<strike>{escape(look.drawable(cell))}</strike>", gone) for cell in row[:-1]]
            rows.append([*cells, text(row[-1], gone)])
        else:
            rows.append([text(cell, small) for cell in row])
    shares = {3: (0.26, 0.44, 0.30), 4: (0.22, 0.30, 0.24, 0.24), 5: (0.2, 0.24, 0.18, 0.19, 0.19)}.get(len(table.head)) or [1 / len(table.head)] * len(
        table.head
    )
    made = _rows(rows, tuple(WIDE * share for share in shares), repeat=1)
    block = [Spacer(1, 6 * mm), text(table.title, _style(13, bold=True)), Spacer(1, 1.5 * mm), made]
    # A short table stays on one page; a long one goes on with its head.
    return [KeepTogether(block)] if len(table.rows) <= MOST_TOGETHER else block


def _rows(rows: list[Any], widths: tuple[float, ...], striped: bool = True, repeat: int = 0) -> Table:
    made = Table(rows, colWidths=widths, repeatRows=repeat)
    style: list[Any] = [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, -1), 0), ("TOPPADDING", (0, 0), (-1, -1), 2)]
    if striped:
        style.append(("LINEBELOW", (0, 0), (-1, -1), 0.4, LINE))
    made.setStyle(TableStyle(style))
    return made


def _fitted(data: bytes, wide: float, high: float) -> Image:
    made = Image(io.BytesIO(data))
    scale = min(wide / made.imageWidth, high / made.imageHeight)
    made.drawWidth, made.drawHeight = made.imageWidth * scale, made.imageHeight * scale
    return made


def _photos(found: list[Photo]) -> list[Any]:
    """Two beside each other, each with its caption below it."""
    column = (WIDE - 6 * mm) / 2
    rows: list[Any] = []
    for k in range(0, len(found), 2):
        cells: list[Any] = []
        for photo in found[k : k + 2]:
            picture = _fitted(photo.data, column, 80 * mm)
            picture.hAlign = "LEFT"
            cells.append([picture, Spacer(1, 1 * mm), text(photo.alt, _style(8.5, colour=QUIET_INK))])
        made = Table([[*cells, *([""] * (2 - len(cells)))]], colWidths=(column + 6 * mm, column))
        made.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0), ("TOPPADDING", (0, 0), (-1, -1), 4 * mm)]))
        rows.append(made)
    return rows


def _pictures(found: list[Picture]) -> list[Any]:
    """Two beside each other, as large as the column lets them be."""
    column = (WIDE - 6 * mm) / 2
    pairs = [found[k : k + 2] for k in range(0, len(found), 2)]
    rows = []
    for pair in pairs:
        cells = [_fitted(picture.png, column, 125 * mm) for picture in pair]
        made = Table([[*cells, *([""] * (2 - len(cells)))]], colWidths=(column + 6 * mm, column))
        made.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)]))
        rows.append(made)
    return _section("Pictures", rows) if rows else []


def batch_pdf(diary: Diary, attachment: Attachment) -> File | str:
    """Maker of ``batch_pdf``."""
    try:
        page = page_of(diary, attachment.batch)
    except NothingToShow as nothing:
        return str(nothing)
    return File(f"{page.title}.pdf", "application/pdf", as_pdf(page))


