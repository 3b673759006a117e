"""Bottle labels on A4: name, date, strength, batch code, and the code again for a camera."""

from __future__ import annotations

import io
import re
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from bot.attachments import Diary, File
from bot.batch_record import NothingToShow, Record, record_of
from bot.export.paper import BOLD, FONT, draw_qr, register_fonts
from bot.export.qr import qr_rows
from bot.pictures import look
from bot.pictures.glass import on_screen
from conversations.session.events import Attachment

ACROSS, DOWN = 3, 8
CELL = (A4[0] / ACROSS, A4[1] / DOWN)
"""24 labels of 70 by 37.1 mm: sheets of that size are sold everywhere, and plain paper can be cut along the lines."""
INSIDE = 6 * mm
"""Kept free at every edge of a label: printers do not reach the edge of the sheet."""
MOST = 240
QR_SIDE = 20 * mm


def bottled(record: Record) -> tuple[str, str]:
    """What the date on the label means, and the date."""
    at = record.entered("condition")
    word = "bottled" if at is not None else "brewed"
    local = record.local(at or record.batch.started)
    return word, f"{local.day} {local:%b %Y}"


def as_labels(record: Record, count: int) -> bytes:
    """So many labels, 24 to a page; 1 to 240."""
    register_fonts()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4, invariant=1)
    canvas.setTitle(look.drawable(f"Labels for {record.batch.name}"))
    canvas.setAuthor("Potside")
    rows = qr_rows(record.code)
    name = _name(record, CELL[0] - 2 * INSIDE - QR_SIDE)
    for number in range(max(1, min(count, MOST))):
        place = number % (ACROSS * DOWN)
        if number and not place:
            canvas.showPage()
        left = place % ACROSS * CELL[0]
        bottom = A4[1] - (place // ACROSS + 1) * CELL[1]
        _label(canvas, record, rows, name, left, bottom)
    canvas.save()
    return out.getvalue()


def _label(
    canvas: Any, record: Record, rows: list[list[bool]], name: tuple[float, list[str]], left: float, bottom: float
) -> None:
    canvas.setStrokeColor(HexColor("#c9c2b4"))
    canvas.setLineWidth(0.3)
    canvas.rect(left, bottom, *CELL)
    if record.colour is not None:
        canvas.setFillColor(HexColor(on_screen(record.colour)))
        canvas.rect(left + INSIDE - 3 * mm, bottom + INSIDE, 1.6 * mm, CELL[1] - 2 * INSIDE, stroke=0, fill=1)
    draw_qr(canvas, rows, left + CELL[0] - INSIDE - QR_SIDE + 2 * mm, bottom + CELL[1] - INSIDE - QR_SIDE + 1.5 * mm, QR_SIDE)
    x, y = left + INSIDE, bottom + CELL[1] - INSIDE
    canvas.setFillColor(HexColor("#20242b"))
    size, lines = name
    for line in lines:
        y -= size * 1.15
        canvas.setFont(BOLD, size)
        canvas.drawString(x, y, line)
    word, date = bottled(record)
    small = [f"{word} {date}"]
    if record.strength is not None:
        small.insert(0, f"about {record.strength.magnitude:.1f} % alcohol")
    y = bottom + INSIDE + 8.5 * (len(small) - 1)
    for line in small:
        canvas.setFont(FONT, 7.5)
        canvas.drawString(x, y, line)
        y -= 8.5
    canvas.setFont(BOLD, 9)
    canvas.drawRightString(left + CELL[0] - INSIDE, bottom + INSIDE, record.code)


def _name(record: Record, wide: float) -> tuple[float, list[str]]:
    """The name as large as it fits in two lines without a word that is cut, smaller in three."""
    name = look.drawable(record.batch.name) or f"Batch {record.code}"
    words = re.split(r"(?<=-)|\s+", name)
    for size, most in ((12.0, 2), (10.5, 2), (9.0, 2), (9.0, 3), (8.0, 3), (7.0, 3)):
        if any(look.width_of(word, size, True) > wide / 72 for word in words):
            continue
        lines = look.fitted(name, wide / 72, size, lines=most, bold=True)
        if lines and not lines[-1].endswith("…"):
            return size, lines
    return 8.0, look.fitted(name, wide / 72, 8.0, lines=3, bold=True)


def labels(diary: Diary, attachment: Attachment) -> File | str:
    """Maker of ``labels``; the option ``count`` says how many."""
    try:
        record = record_of(diary, attachment.batch)
    except NothingToShow as nothing:
        return str(nothing)
    count = int(attachment.options.get("count", ACROSS * DOWN))
    return File(f"{record.batch.name} labels.pdf", "application/pdf", as_labels(record, count))
