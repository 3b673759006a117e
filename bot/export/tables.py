"""All data as CSV tables in one zip, for a spreadsheet; `columns.csv` says what each column means."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from bot.attachments import Diary, File
from bot.export.columns import COLUMNS, UNIT_WORDS
from conversations.intents import Measured
from conversations.session.events import Attachment
from conversations.session.kept import kept
from conversations.session.stages import stage_now, stages
from conversations.session.state import Batch, Reading, State
from conversations.short_code import short_code

Cell = str | float | int | None
Row = Sequence[Cell]
Local = Callable[[datetime | None], str]
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""A spreadsheet takes a cell that begins like this for a formula. Source: OWASP, CSV injection."""
_STICK = {"depth": "stick"}


def guarded(cell: Cell) -> Cell:
    """The cell as no spreadsheet runs it: text that begins like a formula gets an apostrophe in front.

    >>> guarded("=1+1"), guarded(-1.5), guarded("Fuggle")
    ("'=1+1", -1.5, 'Fuggle')
    """
    if isinstance(cell, str) and cell.lstrip(" ").startswith(_FORMULA):
        return "'" + cell
    return cell


def table(head: Sequence[str], rows: Iterable[Row]) -> str:
    """One table as CSV (RFC 4180: commas, CRLF, quotes doubled)."""
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_MINIMAL)
    writer.writerow(head)
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return out.getvalue()


def _amount(measured: Measured | None) -> tuple[Cell, Cell]:
    if measured is None:
        return None, None
    # Twelve digits: 0.1 kg stays 0.1, and not what binary numbers make of it.
    return float(f"{measured.value:.12g}"), UNIT_WORDS.get(measured.unit, measured.unit.replace("_", " "))


def _stage(name: str) -> str:
    return stages()[name].title if name in stages() else name


def tables(diary: Diary) -> dict[str, str]:
    """Name and contents of each table; times are those of the person's clock, as spreadsheets read them."""
    state, zone = diary.state, ZoneInfo(diary.state.zone)

    def local(at: datetime | None) -> str:
        return at.astimezone(zone).strftime("%Y-%m-%d %H:%M:%S") if at is not None else ""

    events = kept(diary.events())
    names = {batch.id: batch.name for batch in state.batches}
    rows: dict[str, Iterable[Row]] = {
        "batches.csv": (_batch(each, local) for each in state.batches),
        "malts.csv": ((each.id, each.name, name, *_amount(mass)) for each in state.batches for name, mass in each.recipe.grains),
        "hops.csv": (row for each in state.batches for row in _hops(each, local)),
        "readings.csv": (row for each in state.batches for row in _readings(each, local)),
        "bottles.csv": (
            (each.id, each.name, lot.count, *_amount(lot.size), lot.type.replace("_", " ")) for each in state.batches for lot in each.bottles
        ),
        "tastings.csv": (
            (each.id, each.name, local(note.at), note.appearance, note.aroma, note.taste, note.mouthfeel, note.score, ", ".join(note.faults), note.change)
            for each in state.batches
            for note in each.tastings
        ),
        "costs.csv": (
            (each.id, each.name, used.name, *_amount(used.amount), used.cost, state.currency if used.cost else "")
            for each in state.batches
            for used in each.used
        ),
        "stock.csv": _stock(state),
        "photos.csv": (
            (each.id, each.name, local(photo.at), photo.caption, photo.path.rpartition("/")[2]) for each in state.batches for photo in each.photos
        ),
        "reminders.csv": (
            (local(each.due), each.batch, names.get(each.batch or 0, ""), each.text) for each in sorted(state.reminders.values(), key=lambda one: one.due)
        ),
        "notes.csv": (
            (local(each.at), each.batch, names.get(each.batch or 0, ""), str(each.data.get("text", ""))) for each in events if each.kind == "note"
        ),
        "messages.csv": (
            (local(each.at), str(each.data.get("who", "")), str(each.data.get("text", ""))) for each in events if each.kind == "heard"
        ),
        "log.csv": (
            (local(each.at), each.kind.replace("_", " "), each.batch, json.dumps(each.data, ensure_ascii=False))
            for each in events
            if each.kind not in ("said", "heard")
        ),
    }
    made = {name: table([title for title, _ in COLUMNS[name]], rows[name]) for name in COLUMNS}
    made["columns.csv"] = table(
        ("table", "column", "what it means"), ((name, title, meaning) for name, columns in COLUMNS.items() for title, meaning in columns)
    )
    return made


def _batch(batch: Batch, local: Local) -> Row:
    wanted = _amount(batch.recipe.volume)
    bottled = local(batch.entered.get("condition"))
    gravity = [each.best for each in batch.readings if each.kind == "gravity"]
    wort = [each.best for each in batch.readings if each.kind == "gravity" and each.stage not in ("ferment", "bottle", "condition")]
    scores = [note.score for note in batch.tastings if note.score is not None]
    first = round(float(wort[-1].magnitude), 4) if wort else None
    last = round(float(gravity[-1].magnitude), 4) if len(gravity) > len(wort) else None
    return (
        batch.id, batch.name, short_code(batch.id), local(batch.started), stage_now(batch.stage), local(batch.stage_since), bottled,
        batch.recipe.yeast, *wanted, first, last, sum(lot.count for lot in batch.bottles) or None, scores[-1] if scores else None,
    )  # fmt: skip


def _hops(batch: Batch, local: Local) -> Iterator[Row]:
    for hop in batch.recipe.hops:
        dry = f"dry for {hop.dry_days:g} days" if hop.dry_days else ""
        remark = "left out" if hop.skipped else "first wort" if hop.first_wort else dry
        yield (batch.id, batch.name, hop.name, *_amount(hop.mass), hop.alpha_percent, None if dry else hop.boil_minutes, local(hop.added_at), remark)


def _readings(batch: Batch, local: Local) -> Iterator[Row]:
    gone = {each.was.id: each.was for each in batch.corrections}
    every: list[Reading] = sorted((*batch.readings, *gone.values()), key=lambda each: (each.at, each.id))
    for each in every:
        replaced = "replaced by a correction" if each.id in gone else ""
        yield (
            batch.id, batch.name, local(each.at), _stage(each.stage), _STICK.get(each.kind, each.kind), *_amount(each.value),
            *_amount(each.corrected), (each.of or each.note).replace("degC", "°C").replace("degF", "°F"), replaced, each.who,
        )  # fmt: skip


def _stock(state: State) -> Iterator[Row]:
    for item in state.stock:
        days = (each.isoformat() if each else "" for each in (item.bought_on, item.opened, item.best_before))
        yield (item.kind, item.name, *_amount(item.bought), *_amount(item.left), item.price, state.currency if item.price else "", *days)


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
