"""The measuring stick on paper at natural size: PDF by reportlab, and the same pages as PNG."""

from __future__ import annotations

import io
from itertools import pairwise
from typing import Any

from bot.attachments import Diary, File
from calc.stick_scale import pieces
from conversations.intents import UnitSystem
from conversations.session.events import Attachment
from conversations.session.stick import UNIT_NAMES, Scale, scale_of

PNG_DPI = 300
CHECK_MM = 50.0
_MARGIN_MM = 14.0
_HEAD_MM = 42.0
_OVERLAP_MM = 10.0
_STRIP_MM = 34.0
_PITCH_MM = 40.0
_LABEL_MM = 3.8
_LENGTH_MM = {"whole": 17.0, "half": 11.0, "part": 6.0}
_WEIGHT_MM = {"whole": 0.35, "half": 0.25, "part": 0.18}
_PAPER_MM = {"metric": (210.0, 297.0), "imperial": (210.0, 297.0), "us": (215.9, 279.4)}
_CHECK_ROOM_MM = 30.0


def stick_pdf(scale: Scale, units: UnitSystem) -> bytes:
    """The scale as a PDF, on A4 or US letter paper."""
    from reportlab.lib.units import mm
    from reportlab.pdfgen.canvas import Canvas

    width, height = _PAPER_MM[units]
    room = height - _HEAD_MM - _MARGIN_MM - 6.0
    parts = pieces(scale.length_mm + 4.0, room, _OVERLAP_MM)
    columns = int((width - 2 * _MARGIN_MM - _CHECK_ROOM_MM) // _PITCH_MM)
    sheets = [parts[i : i + columns] for i in range(0, len(parts), columns)]
    made = io.BytesIO()
    canvas = Canvas(made, pagesize=(width * mm, height * mm), invariant=1)
    canvas.setTitle("Measuring stick")
    canvas.scale(mm, mm)  # from here on a unit of the page is a millimetre
    number = 0
    for sheet, on_sheet in enumerate(sheets):
        if sheet:
            canvas.showPage()
            canvas.scale(mm, mm)
        _head(canvas, scale, width, height, sheet + 1, len(sheets), len(parts))
        _check_line(canvas, width - _MARGIN_MM - 8.0)
        for column, (low, high) in enumerate(on_sheet):
            _strip(canvas, scale, _MARGIN_MM + column * _PITCH_MM, low, high, number, len(parts), parts)
            number += 1
    canvas.save()
    return made.getvalue()


def _text(canvas: Any, x: float, y: float, size_mm: float, words: str, bold: bool = False) -> None:
    canvas.setFont("Helvetica-Bold" if bold else "Helvetica", size_mm)
    canvas.drawString(x, y, words)


def _head(canvas: Any, scale: Scale, width: float, height: float, sheet: int, sheets: int, parts: int) -> None:
    top = height - _MARGIN_MM
    many = f"   (sheet {sheet} of {sheets})" if sheets > 1 else ""
    _text(canvas, _MARGIN_MM, top - 4, 4.6, f"Measuring stick, {UNIT_NAMES[scale.unit][1]}{many}", bold=True)
    _text(canvas, _MARGIN_MM, top - 9, 3.3, f"For {scale.made_for}.")
    lines = [
        "1. Print at 100 % (actual size). The check line at the right must measure 50 mm; if not, print again.",
        "2. Cut out and tape along a spoon handle, the 0 edge at its lower end; clear tape over it, or copy the lines.",
        "3. Stand it upright on the bottom of the level pot and read at the surface. Rinse; keep it out of the boil.",
    ]
    if parts > 1:
        lines[1] = (
            "2. Cut out; lay the lower edge of B on the dashed line of A, and so on, and glue. Tape to a spoon, 0 at the end."
        )
    for row, line in enumerate(lines):
        _text(canvas, _MARGIN_MM, top - 13.5 - 4 * row, 2.9, line)


def _check_line(canvas: Any, x: float) -> None:
    y = _MARGIN_MM + 4.0
    canvas.setLineWidth(0.25)
    canvas.line(x, y, x, y + CHECK_MM)
    for end in (y, y + CHECK_MM):
        canvas.line(x - 4, end, x + 4, end)
    canvas.saveState()
    canvas.translate(x - 5.5, y + 2)
    canvas.rotate(90)
    _text(canvas, 0, 0, 3.0, "check: this line is 50 mm long")
    canvas.restoreState()


def _strip(
    canvas: Any,
    scale: Scale,
    x: float,
    low: float,
    high: float,
    number: int,
    parts: int,
    cuts: tuple[tuple[float, float], ...],
) -> None:
    base = _MARGIN_MM + 4.0
    canvas.setLineWidth(0.15)
    canvas.setDash(0.6, 0.6)
    canvas.rect(x, base, _STRIP_MM, high - low)
    canvas.setDash()
    letter = chr(ord("A") + number)
    if parts > 1:
        _text(canvas, x + _STRIP_MM - 3.2, base + 1.2, 3.4, letter, bold=True)
    below = "0: bottom of the pot" if number == 0 else f"lay this edge on the dashed line of {chr(ord(letter) - 1)}"
    _text(canvas, x, base - 3.2, 2.2, below)
    if number + 1 < parts:
        join = base + cuts[number + 1][0] - low
        canvas.setLineWidth(0.2)
        canvas.setDash(2, 1)
        canvas.line(x, join, x + _STRIP_MM, join)
        canvas.setDash()
        _text(canvas, x + _STRIP_MM - 3.2, join + 0.8, 3.4, chr(ord(letter) + 1), bold=True)
    unit, every = UNIT_NAMES[scale.unit][0], _numbered(scale)
    for line in scale.lines:
        if not low - 1e-9 <= line.depth_mm <= high + 1e-9:
            continue
        y = base + line.depth_mm - low
        canvas.setLineWidth(_WEIGHT_MM[line.rank])
        canvas.line(x, y, x + _LENGTH_MM[line.rank], y)
        fits = line.depth_mm - low >= 1.3 and high - line.depth_mm >= 1.5
        if line.rank == "whole" and fits and round(line.number) % every == 0:
            _text(canvas, x + _LENGTH_MM["whole"] + 0.8, y - 1.3, _LABEL_MM, f"{line.number:g} {unit}", bold=True)


def _numbered(scale: Scale) -> int:
    """Every how many whole lines a number stands, so that numbers do not run into each other."""
    depths = [0.0, *(line.depth_mm for line in scale.lines if line.rank == "whole")]
    least = min(upper - lower for lower, upper in pairwise(depths))
    return next((every for every in (1, 2, 5) if least * every >= _LABEL_MM + 1.2), 10)


def pages_as_png(pdf: bytes, dpi: int = PNG_DPI) -> list[bytes]:
    """Each page of a PDF as a PNG that says its resolution, so that it prints at natural size."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    made = []
    for page in document:
        picture = page.render(scale=dpi / 72).to_pil()
        out = io.BytesIO()
        picture.save(out, "PNG", dpi=(dpi, dpi))
        made.append(out.getvalue())
    document.close()
    return made


def make(diary: Diary, attachment: Attachment) -> File:
    """The page that "print my stick" asks for; a picture holds the first page."""
    state = diary.state
    pdf = stick_pdf(scale_of(state.kit, state.units), state.units)
    if attachment.options.get("format") == "png":
        return File("stick.png", "image/png", pages_as_png(pdf)[0])
    return File("stick.pdf", "application/pdf", pdf)
