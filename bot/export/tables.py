"""All data as CSV tables in one zip, for a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterable, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from bot.attachments import Diary, File
from conversations.session.events import Attachment
from conversations.session.kept import kept
from conversations.short_code import short_code

Cell = str | float | int | None
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""A spreadsheet takes a cell that begins like this for a formula. Source: OWASP, CSV injection."""


def guarded(cell: Cell) -> Cell:
    """The cell as no spreadsheet runs it: text that begins like a formula gets an apostrophe in front.

    >>> guarded("=1+1"), guarded(-1.5), guarded("Fuggle")
    ("'=1+1", -1.5, 'Fuggle')
    """
    if isinstance(cell, str) and cell.lstrip(" ").startswith(_FORMULA):
        return "'" + cell
    return cell


def table(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """One table as CSV (RFC 4180: commas, CRLF, quotes doubled)."""
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_MINIMAL)
    writer.writerow(head)
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return out.getvalue()


def tables(diary: Diary) -> dict[str, str]:
    """Name and contents of each table; times are ISO 8601 with the offset of the person's zone."""
    state, zone = diary.state, ZoneInfo(diary.state.zone)

    def local(at: datetime | None) -> str:
        return at.astimezone(zone).isoformat(timespec="seconds") if at is not None else ""

    events = kept(diary.events())
    names = {batch.id: batch.name for batch in state.batches}
    grains: list[Sequence[Cell]] = []
    hops: list[Sequence[Cell]] = []
    readings: list[Sequence[Cell]] = []
    for batch in state.batches:
        for name, mass in batch.recipe.grains:
            grains.append((batch.id, batch.name, name, mass.value, mass.unit))
        for hop in batch.recipe.hops:
            hops.append(
                (
                    batch.id,
                    batch.name,
                    hop.name,
                    hop.mass.value,
                    hop.mass.unit,
                    hop.alpha_percent,
                    hop.boil_minutes,
                    local(hop.added_at),
                    "left out" if hop.skipped else "",
                )
            )
        for each in batch.readings:
            right = each.corrected
            readings.append(
                (
                    batch.id,
                    batch.name,
                    local(each.at),
                    each.stage,
                    each.kind,
                    each.value.value,
                    each.value.unit,
                    right.value if right else None,
                    right.unit if right else None,
                    each.note,
                )
            )
    return {
        "batches.csv": table(
            ("batch", "name", "code", "started", "stage", "stage since", "yeast", "volume", "unit"),
            (
                (
                    batch.id,
                    batch.name,
                    short_code(batch.id),
                    local(batch.started),
                    batch.stage,
                    local(batch.stage_since),
                    batch.recipe.yeast,
                    batch.recipe.volume.value if batch.recipe.volume else None,
                    batch.recipe.volume.unit if batch.recipe.volume else None,
                )
                for batch in state.batches
            ),
        ),
        "grains.csv": table(("batch", "name", "grain", "mass", "unit"), grains),
        "hops.csv": table(
            ("batch", "name", "hop", "mass", "unit", "alpha percent", "minutes before flame-out", "added", "remark"), hops
        ),
        "readings.csv": table(
            ("batch", "name", "time", "stage", "kind", "value", "unit", "corrected", "corrected unit", "note"), readings
        ),
        "notes.csv": table(
            ("time", "batch", "name", "text"),
            (
                (local(each.at), each.batch, names.get(each.batch or 0, ""), str(each.data.get("text", "")))
                for each in events
                if each.kind == "note"
            ),
        ),
        "messages.csv": table(
            ("time", "who", "text"),
            (
                (local(each.at), str(each.data.get("who", "")), str(each.data.get("text", "")))
                for each in events
                if each.kind == "heard"
            ),
        ),
        "events.csv": table(
            ("time", "kind", "batch", "data"),
            (
                (local(each.at), each.kind, each.batch, json.dumps(each.data, ensure_ascii=False))
                for each in events
                if each.kind not in ("said", "heard")
            ),
        ),
    }


def as_zip(diary: Diary) -> bytes:
    """The tables in one zip, the same bytes for the same diary."""
    at = diary.state.clock
    # Zip counts from 1980 and knows no time zones.
    stamp = (max(1980, at.year), at.month, at.day, at.hour, at.minute, 0) if at else (1980, 1, 1, 0, 0, 0)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in tables(diary).items():
            entry = zipfile.ZipInfo(name, stamp)
            entry.compress_type = zipfile.ZIP_DEFLATED
            # Spreadsheets take UTF-8 for something else unless a mark at the start says so.
            archive.writestr(entry, text.encode("utf-8-sig"))
    return out.getvalue()


def data_csv(diary: Diary, attachment: Attachment) -> File:
    """Maker of ``data_csv``."""
    day = f" {diary.state.clock:%Y-%m-%d}" if diary.state.clock else ""
    return File(f"Potside tables{day}.zip", "application/zip", as_zip(diary))
