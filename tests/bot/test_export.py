"""Pages, labels, tables, data and calendar: complete, safe to open, and the data restores everything."""

from __future__ import annotations

import base64
import csv
import io
import json
import os
import re
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from PIL import Image

from bot.attachments import File, make
from bot.batch_record import record_of
from bot.clock import SimulatedClock
from bot.engine import Engine
from bot.export import content, labels
from bot.export.content import page_of
from bot.export.diary_file import as_json, schema
from bot.export.paper import as_pdf
from bot.export.restore import CannotRestore, read_bytes, state_of
from bot.export.shrunk_photo import shrunk
from bot.export.tables import guarded
from bot.export.web_page import as_html
from bot.main import main
from bot.sent_files import keep_sent
from bot.store import Incoming, Store
from bot.store_diary import ChatDiary
from bot.store_errors import StoreError
from bot.store_restore import append_handled, restore
from bot.telegram.copy_of_data import copy_of_data
from conversations.intents import Measured
from conversations.session.events import Attachment, Event, Heard
from conversations.session.state import Bottles, Tasting, Used
from conversations.session.step import step
from tests.bot.played_days import fermenting, played, whole_day

DOCS = Path(__file__).parents[2] / "docs"
HOSTILE = '<script>alert(1)</script>"><img src=http://example.com/x> & \'quoted\' $5 {{ 7*7 }}'


def a_file(diary: ChatDiary, kind: str, **options: Any) -> File:
    made = make(diary, Attachment(kind=kind, alt="", options=options))
    assert isinstance(made, File), made
    return made


@cache
def whole_html() -> str:
    return a_file(whole_day(), "batch_html").data.decode()


@cache
def whole_pdf() -> bytes:
    return a_file(whole_day(), "batch_pdf").data


class Page(HTMLParser):
    """Tags with their attributes, and the text, of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words += data


def the_page(diary: ChatDiary) -> Page:
    return Page(a_file(diary, "batch_html").data.decode())


def test_html_holds_the_batch() -> None:
    page = Page(whole_html())
    for part in ("Heather Lane bitter", "1.045", "4.5 %", "Fuggle", "smells of toast", "B1B", "Planned and done"):
        assert part in page.words
    pictures = [attributes for tag, attributes in page.tags if tag == "img"]
    assert len(pictures) == 5
    for each in pictures:
        assert (each["src"] or "").startswith("data:image/png;base64,")
        assert "Heather Lane bitter" in (each["alt"] or "")


def test_html_needs_nothing_but_itself() -> None:
    html = whole_html()
    assert re.findall(r"https?://|//[a-z]+\.|@import|url\(", re.sub(r"base64,[A-Za-z0-9+/=]+", "", html)) == []
    page = Page(html)
    assert {tag for tag, _ in page.tags} & {"script", "link", "iframe", "object", "embed", "base", "form"} == set()
    policy = next(a["content"] for tag, a in page.tags if tag == "meta" and a.get("http-equiv"))
    assert policy == "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
    assert "@media print" in html


def test_html_takes_words_for_words() -> None:
    hostile = replace(page_of(fermenting(f"note: {HOSTILE}"), None), title="<i>ale</i>")
    page = Page(as_html(hostile).decode())
    assert HOSTILE in page.words
    assert "<i>ale</i>" in page.words
    assert {tag for tag, _ in page.tags} & {"script", "i"} == set()
    assert all((a.get("src") or "data:").startswith("data:") for _, a in page.tags)


def test_a_corrected_reading_shows_as_corrected() -> None:
    diary = fermenting("+5d", "gravity 1.013 at 20 C", "no, 1.011")
    page = the_page(diary)
    struck = [number for number, (tag, a) in enumerate(page.tags) if tag == "tr" and a.get("class") == "struck"]
    assert len(struck) == 1
    assert "1.013" in page.words
    assert "replaced" in page.words


def test_an_undone_reading_is_not_on_the_page() -> None:
    assert "1.013" not in the_page(fermenting("+5d", "gravity 1.013 at 20 C", "undo")).words


def a_photo() -> bytes:
    """A red picture, turned on its side, with a place written into it."""
    out = io.BytesIO()
    picture = Image.new("RGB", (400, 200), "red")
    notes = picture.getexif()
    notes[0x0112] = 6
    notes.get_ifd(0x8825)[2] = (38.0, 43.0, 0.0)
    picture.save(out, "JPEG", exif=notes)
    return out.getvalue()


@pytest.fixture
def with_photo(tmp_path: Path) -> ChatDiary:
    store, diary = restored(as_json(whole_day()), Store.open(tmp_path / "diary.db"))
    path = tmp_path / "diary.files" / "photos" / "terminal" / "a.jpg"
    path.parent.mkdir(parents=True)
    path.write_bytes(a_photo())
    (tmp_path / "secret.jpg").write_bytes(a_photo())
    for number, name in enumerate(("photos/terminal/a.jpg", "../secret.jpg", "photos/../../secret.jpg", "photos/none.jpg", "/etc/hostname")):
        event = Event(kind="photo", at=diary.state.clock or datetime.now(UTC), batch=1, data={"path": name, "text": f"caption {number}"})
        with store.transaction() as connection:
            append_handled(connection, f"photo{number}", "terminal", [event])
    return diary


def test_photos_are_in_the_page_and_only_those_of_the_diary(with_photo: ChatDiary) -> None:
    html = a_file(with_photo, "batch_html").data.decode()
    found = re.findall(r"data:image/jpeg;base64,([A-Za-z0-9+/=]+)", html)
    assert len(found) == 1
    assert "caption 0" in html
    assert "caption 1" not in html
    picture = Image.open(io.BytesIO(base64.b64decode(found[0])))
    # Upright, and without what the camera wrote into it.
    assert picture.size == (200, 400)
    assert len(picture.getexif()) == 0
    assert "caption 0" in pdf_text(a_file(with_photo, "batch_pdf").data)


def test_kept_voice_notes_play_in_the_page(with_photo: ChatDiary, tmp_path: Path) -> None:
    (tmp_path / "diary.files" / "photos" / "terminal" / "a.ogg").write_bytes(b"OggS sound")
    (tmp_path / "secret.ogg").write_bytes(b"OggS secret")
    for number, name in enumerate(("photos/terminal/a.ogg", "../secret.ogg", "photos/terminal/a.jpg")):
        at = with_photo.state.clock or datetime.now(UTC)
        event = Event(kind="recording", at=at, batch=1, data={"path": name, "text": f"seven {number} <b>"})
        with with_photo.store.transaction() as connection:
            append_handled(connection, f"sound{number}", "terminal", [event])
    html = a_file(with_photo, "batch_html").data.decode()
    (found,) = re.findall(r"data:audio/ogg;base64,([A-Za-z0-9+/=]+)", html)
    assert base64.b64decode(found) == b"OggS sound"
    assert "seven 0 &lt;b&gt;" in html.replace("&#34;", '"')
    assert "media-src data:" in html


@pytest.mark.parametrize("data", [b"", b"no picture", b"\xff\xd8\xff\xe0 broken", a_photo()[:300]], ids=range(4))
def test_a_damaged_photo_is_left_out(data: bytes) -> None:
    assert shrunk(data) is None


def test_a_picture_that_would_fill_the_memory_is_left_out() -> None:
    out = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(out, "PNG")
    assert len(out.getvalue()) < 100_000
    assert shrunk(out.getvalue()) is None


def test_tastings_and_costs_and_bottles_are_on_the_page() -> None:
    record = record_of(whole_day(), None)
    note = Tasting(id=1, at=record.now, aroma="toast & <honey>", score=7.5, change="less crystal")
    bottles = Bottles(count=14, size=Measured(value=0.5, unit="litre"))
    used = Used(item="x", name="pale malt", amount=Measured(value=1500, unit="gram"), cost="2.85")
    record = replace(record, batch=record.batch.model_copy(update={"tastings": (note,), "bottles": (bottles,), "used": (used,)}))
    page = content.page_of_record(whole_day(), record)
    for words in (Page(as_html(page).decode()).words, pdf_text(as_pdf(page)).replace("\r\n", " ")):
        for part in ("toast & <honey>", "Score: 7.5 of 10", "less crystal", "14", "€2.85", "In the bottle"):
            assert part in words


def pdf_text(data: bytes) -> str:
    return "\n".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(data))


def test_pdf_can_be_read_and_drawn() -> None:
    data = whole_pdf()
    words = pdf_text(data)
    for part in ("Heather Lane bitter", "1.045", "4.5 %", "Fuggle", "smells of toast", "B1B", "Planned and done", "page 1"):
        assert part in words
    for page in pypdfium2.PdfDocument(data):
        assert [round(side / 72 * 25.4) for side in page.get_size()] == [210, 297]
        assert len(page.render(scale=0.3).to_pil().convert("L").getcolors(256) or []) > 2


def test_pdf_takes_words_for_words_and_long_ones_do_not_break_it() -> None:
    hostile = page_of(fermenting(f"note: {HOSTILE}", "note: " + "y" * 1500), None)
    words = pdf_text(as_pdf(replace(hostile, title="<b>ale</b> & co")))
    assert "<script>alert(1)</script>" in words.replace("\r\n", "")
    assert "<b>ale</b> & co" in words


def test_pages_of_a_batch_without_anything() -> None:
    diary = played(["@ 2026-03-14 09:30", "new batch called plain ale"])
    assert "plain ale" in the_page(diary).words
    assert "plain ale" in pdf_text(a_file(diary, "batch_pdf").data)


def test_labels_are_as_many_as_asked_and_hold_what_the_law_of_the_cellar_wants() -> None:
    diary = fermenting("+9d", "gravity 1.010 at 20 C", "+3d", "gravity 1.010 at 20 C", "next", "bottled")
    data = a_file(diary, "labels", count=30).data
    pages = list(pypdfium2.PdfDocument(data))
    assert len(pages) == 2
    words = pdf_text(data)
    assert words.count("B1B") == 30
    for part in ("Mill Lane", "about 4.6 % alcohol", "bottled 26 Mar 2026"):
        assert part in words


def test_label_s_code_is_read_by_another_program() -> None:
    """Source: ISO/IEC 18004, by the decoder of zxing-cpp."""
    zxingcpp = pytest.importorskip("zxingcpp")
    page = pypdfium2.PdfDocument(a_file(whole_day(), "labels", count=24).data)[0]
    picture = page.render(scale=300 / 72).to_pil().convert("L")
    found = zxingcpp.read_barcodes(picture)
    assert [each.text for each in found] == ["B1B"] * 24


def test_page_s_code_is_read_by_another_program() -> None:
    """Source: ISO/IEC 18004, by the decoder of zxing-cpp; the path is drawn here square by square."""
    zxingcpp = pytest.importorskip("zxingcpp")
    html = whole_html()
    side = int(re.search(r'viewBox="0 0 (\d+)', html)[1])  # type: ignore[index]
    picture = Image.new("L", (side, side), 255)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", html):
        picture.putpixel((int(x), int(y)), 0)
    assert zxingcpp.read_barcode(picture.resize((side * 8, side * 8), Image.Resampling.NEAREST)).text == "B1B"


@pytest.mark.parametrize("name", ["Küchenfenster-Bräu", "Frühlingsweizenbock", "Baltic smoked oatmeal porter"])
def test_no_word_on_a_label_is_cut(name: str) -> None:
    record = record_of(fermenting(name=name), None)
    size, lines = labels._name(record, labels.CELL[0] - 2 * labels.INSIDE - labels.QR_SIDE)
    assert size >= 7
    assert all(word in re.split(r"(?<=-)|\s+", name) for line in lines for word in re.split(r"(?<=-)|\s+", line) if word)


def test_pictures_of_the_page_are_there_for_the_night_too() -> None:
    assert whole_html().count('<source media="(prefers-color-scheme: dark)"') == whole_html().count("<figure><picture>") == 5


def test_what_a_bottle_cost_is_what_the_chat_says() -> None:
    lines = [
        "@ 2026-03-14 09:30 Europe/Berlin", "bought 5 kg pale malt for 9.50", "bought a sachet ale yeast for 3.80", "brew 8 litres of ale", "1.5 kg pale malt",
        "use ale yeast", "grain is in", "gravity 1.040 at 20 C", "8 litres", "yeast is in", "+10d", "1.010 at 20 C", "+3d", "1.010 at 20 C", "next",
        "12 500 ml", "bottled",
    ]  # fmt: skip
    diary = played(lines)
    heard: list[str] = []
    state = diary.state
    outcome = step(state, Heard(text="how much did it cost"), state.clock or datetime(2026, 4, 1, tzinfo=UTC))
    heard += [reply.text for reply in outcome.replies]
    (told,) = re.findall(r"(\S+) a bottle", " ".join(heard))
    (row,) = [row for table in page_of(diary, None).tables for row in table.rows if row[1] == "each bottle of 500 ml"]
    assert row[2] == told


def csv_rows(diary: ChatDiary, name: str) -> list[dict[str, str]]:
    with zipfile.ZipFile(io.BytesIO(a_file(diary, "data_csv").data)) as archive:
        assert archive.testzip() is None
        return list(csv.DictReader(io.StringIO(archive.read(name).decode("utf-8-sig"), newline="")))


def test_tables_hold_what_was_measured() -> None:
    readings = csv_rows(whole_day(), "readings.csv")
    assert len(readings) == len(whole_day().state.batches[0].readings)
    warm = next(row for row in readings if row["what"] == "gravity" and row["as sent"] == "1.04")
    assert warm["time"] == "2026-03-14 11:06:00"
    # What the reviewed conversation of that day says.
    assert f"{float(warm['taken as']):.3f}" == "1.041"
    assert (warm["unit"], warm["unit of that"]) == ("SG", "SG")
    assert [row["hop"] for row in csv_rows(whole_day(), "hops.csv")] == ["Fuggle", "Goldings"]
    assert len(csv_rows(whole_day(), "messages.csv")) == sum(e.kind == "heard" for e in whole_day().events())


def test_each_column_of_each_table_is_explained() -> None:
    with zipfile.ZipFile(io.BytesIO(a_file(whole_day(), "data_csv").data)) as archive:
        heads = {name: archive.read(name).decode("utf-8-sig").splitlines()[0].split(",") for name in archive.namelist()}
    told = [(row["table"], row["column"]) for row in csv_rows(whole_day(), "columns.csv")]
    assert told == [(name, column) for name, head in heads.items() if name != "columns.csv" for column in head]
    assert all(len(row["what it means"]) > 2 for row in csv_rows(whole_day(), "columns.csv"))


def test_tables_hold_bottles_tastings_costs_and_corrections() -> None:
    diary = played([
        "@ 2026-03-14 09:30 Europe/Berlin", "bought 5 kg pale malt for 9.50", "brew 5 litres of Hafenbräu", "1 kg pale malt", "grain is in",
        "67 C", "no, 66", "gravity 1.040 at 20 C", "yeast is in", "+10d", "1.010 at 20 C", "+3d", "1.010 at 20 C", "next", "9 500 ml", "bottled",
        "+20d", "tasting: toast, 7/10",
    ])  # fmt: skip
    assert [(row["name"], row["bottles"], row["size"]) for row in csv_rows(diary, "bottles.csv")] == [("Hafenbräu", "9", "500.0")]
    assert [(row["taste"], row["score"]) for row in csv_rows(diary, "tastings.csv")] == [("toast", "7.0")]
    assert [(row["what"], float(row["cost"]), row["currency"]) for row in csv_rows(diary, "costs.csv")] == [("pale malt", 1.9, "EUR")]
    mash = [(row["as sent"], row["unit"], row["replaced"]) for row in csv_rows(diary, "readings.csv") if row["what"] == "temperature"]
    assert mash == [("67.0", "°C", "replaced by a correction"), ("66.0", "°C", "")]
    (batch,) = csv_rows(diary, "batches.csv")
    assert (batch["now"], batch["original gravity"], batch["last gravity"], batch["bottles"]) == ("in the bottle", "1.04", "1.01", "9")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", " =", "＝"])
def test_no_cell_is_a_formula(start: str) -> None:
    """Source: OWASP, CSV Injection: these beginnings, and the apostrophe in front."""
    assert str(guarded(f"{start}HYPERLINK(1)")).startswith("'")
    notes = csv_rows(fermenting(f"note: {start}cmd|' /C calc'!A0"), "notes.csv")
    assert all(not row["text"].startswith(("=", "+", "-", "@")) for row in notes)


def test_calendar_holds_each_reminder_once() -> None:
    diary = fermenting("remind me tomorrow at 8 to check, twice; the airlock")
    calendar = Calendar.from_ical(a_file(diary, "reminders_ics").data)
    found = list(calendar.walk("VEVENT"))
    assert len(found) == len(diary.state.reminders)
    assert len({str(each["uid"]) for each in found}) == len(found)
    for each in found:
        (alarm,) = each.walk("VALARM")
        assert alarm["trigger"].dt == timedelta(0)
    starts = sorted(each["dtstart"].dt for each in found)
    assert starts == sorted(each.due for each in diary.state.reminders.values())
    assert any("check, twice; the airlock" in str(each["summary"]) for each in found)


def restored(data: bytes, store: Store | None = None) -> tuple[Store, ChatDiary]:
    found = read_bytes(data)
    store = store or Store.in_memory()
    restore(store, "terminal", [entry.events for entry in found.entries], state_of(found))
    return store, store.diary("terminal")


def assert_same(diary: ChatDiary) -> None:
    store, again = restored(as_json(diary))
    assert again.events() == diary.events()
    assert again.state == diary.state
    assert as_json(again) == as_json(diary)
    due = {each.key: each.due for each in diary.state.reminders.values()}
    assert {each.key: each.due for each in store.due(datetime(2100, 1, 1, tzinfo=UTC))} == due


def test_everything_comes_back() -> None:
    assert_same(whole_day())


SAID = st.sampled_from(
    [
        "brew 5 litres of ale", "1.2 kg pale malt", "10 g Fuggle 5% at 60", "next", "undo", "no, 1.052", "gravity 1.050 at 25 C",
        "66 degrees", "timer 5 minutes tea", "remind me in 2 hours to stir", "note: a \"quote\", ünïcode 🍺", "grain is in",
        "it's boiling", "hops in", "pause", "resume", "use imperial units", "gibberish of the day", "3 gallons", "b1b", "yes",
    ]
)  # fmt: skip


@settings(max_examples=15, deadline=None)
@given(st.lists(st.one_of(SAID, st.sampled_from(["+10m", "+1d"]), st.text(max_size=30)), max_size=25))
def test_any_diary_comes_back(lines: list[str]) -> None:
    lines = [" ".join(line.split()) for line in lines]
    lines = [line for line in lines if not line.startswith(("@", "#", "+")) or line in ("+10m", "+1d")]
    assert_same(played(["@ 2026-03-14 09:30 Europe/Lisbon", *(line for line in lines if line)]))


PICTURE = b"\xff\xd8\xff\xe0 a photo \xff\xd9"


def _photographed(data: Path) -> Store:
    store = Store.open(data)
    path = keep_sent(data, "terminal", PICTURE, datetime(2026, 3, 14, 10, tzinfo=UTC))
    engine = Engine(store, SimulatedClock(datetime(2026, 3, 14, 10, tzinfo=UTC)), lambda chat, reply, at: None)
    engine.handle(Incoming("1", "terminal", Heard(text="brew 5 litres of ale"), datetime(2026, 3, 14, 10, tzinfo=UTC)))
    engine.handle(Incoming("2", "terminal", Heard(text="the pot", photo=path), datetime(2026, 3, 14, 10, tzinfo=UTC)))
    return store


@pytest.mark.parametrize("kind", ["json", "archive"])
def test_photos_come_back_too(tmp_path: Path, kind: str) -> None:
    store = _photographed(tmp_path / "old.db")
    diary = store.diary("terminal")
    (photo,) = diary.state.batches[0].photos
    events = diary.events()
    if kind == "json":
        (tmp_path / "diary.json").write_bytes(as_json(diary))
    else:
        with zipfile.ZipFile(io.BytesIO(copy_of_data(tmp_path / "old.db", "terminal", events).data)) as archive:
            archive.extractall(tmp_path)
    store.close()
    assert main(["--data", str(tmp_path / "new.db"), "import", str(tmp_path / "diary.json")]) == 0
    again = Store.open(tmp_path / "new.db")
    assert again.diary("terminal").events() == events
    assert again.diary("terminal").photo(photo.path) == PICTURE
    assert (tmp_path / "new.files" / photo.path).stat().st_mode & 0o077 == 0
    again.close()


@pytest.mark.parametrize(
    "photos",
    [
        5,
        [{"path": "photos/x/a.jpg"}],
        [{"path": "../a.jpg", "data": base64.b64encode(PICTURE).decode()}],
        [{"path": "photos/x/../../../a.jpg", "data": base64.b64encode(PICTURE).decode()}],
        [{"path": "photos/x/a.sh", "data": base64.b64encode(PICTURE).decode()}],
        [{"path": "photos/x/a.jpg", "data": "%%%"}],
        [{"path": "photos/x/a.jpg", "data": base64.b64encode(b"#!/bin/sh").decode()}],
    ],
    ids=range(7),
)
def test_strange_photos_are_refused(photos: Any) -> None:
    with pytest.raises(CannotRestore, match="photo"):
        read_bytes(changed(lambda data: data.update(photos=photos)))


def test_a_photo_that_is_gone_is_named_as_left_out(tmp_path: Path) -> None:
    store = _photographed(tmp_path / "old.db")
    (photo,) = store.diary("terminal").state.batches[0].photos
    (tmp_path / "old.files" / photo.path).unlink()
    data = json.loads(as_json(store.diary("terminal")))
    assert (data["photos"], data["photos_left_out"]) == ([], [photo.path])
    store.close()


def test_restored_words_are_found_again() -> None:
    store, _ = restored(as_json(whole_day()))
    assert [each.text for each in store.search("terminal", "toast")] == ["smells of toast"]


def test_nothing_is_restored_over_a_diary() -> None:
    store, _ = restored(as_json(whole_day()))
    before = store.events("terminal")
    found = read_bytes(as_json(whole_day()))
    with pytest.raises(StoreError, match="nothing of it is overwritten"):
        restore(store, "terminal", [entry.events for entry in found.entries], state_of(found))
    assert store.events("terminal") == before


def changed(change: Callable[[dict[str, Any]], object]) -> bytes:
    data = json.loads(as_json(whole_day()))
    change(data)
    return json.dumps(data).encode()


def event(kind: str, **data: Any) -> dict[str, Any]:
    return {"kind": kind, "at": "2026-03-14T09:30:00+00:00", "batch": None, "data": data}


def with_event(**fields: Any) -> Callable[[dict[str, Any]], object]:
    return lambda data: data["entries"].append({"events": [event(**fields)]})


@pytest.mark.parametrize(
    ("data", "tells"),
    [
        (b"", "no JSON"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"PK\x03\x04", "Unpack it"),
        (b"hello", "no JSON"),
        (b"[1, 2]", "not a diary"),
        (b'{"format": "other-9"}', "format"),
        (b'{"format": "potside-diary-1", "made_at": NaN, "entries": []}', "NaN is no number"),
        (b'{"format": "potside-diary-1", "made_at": null}', "damaged at entries"),
        (b"[" * 100_000 + b"]" * 100_000, "nested deeper"),
        (lambda data: data.update(more=1), "damaged at more"),
        (lambda data: data["entries"].append({"events": []}), "damaged at entries"),
        (with_event(kind="drop_table"), "does not know"),
        (with_event(kind="settings_told", batches="all"), "do not make a whole"),
        (with_event(kind="settings_told", zone="../../etc/passwd"), "do not make a whole"),
        (with_event(kind="settings_told", units="furlongs"), "do not make a whole"),
        (with_event(kind="note", text="\x1b[2J"), "control character"),
        (with_event(kind="note", text=1e300), "beyond all measure"),
        (with_event(kind="note", nothing=True), "does not know"),
        (with_event(kind="reading", reading={"id": 1}), "does not know"),
        (b" " * (64 * 2**20 + 1), "larger than 64 MB"),
    ],
    ids=range(20),
)
def test_bad_files_get_a_sentence(data: bytes | Callable[[dict[str, Any]], object], tells: str) -> None:
    with pytest.raises(CannotRestore, match=re.escape(tells)) as caught:
        state_of(read_bytes(data if isinstance(data, bytes) else changed(data)))
    assert str(caught.value).endswith(".")
    assert len(str(caught.value)) < 300


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_refused_in_words(data: bytes) -> None:
    with pytest.raises(CannotRestore):
        read_bytes(data)


def test_schema_is_documented() -> None:
    """Write it anew with POTSIDE_WRITE_SCHEMA=1 after a change of the file's shape."""
    text = json.dumps(schema(), indent=2, ensure_ascii=False) + "\n"
    path = DOCS / "export-schema.json"
    if os.environ.get("POTSIDE_WRITE_SCHEMA"):
        path.write_text(text, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == text


def test_an_export_fits_the_documented_schema() -> None:
    """Source: JSON Schema 2020-12, by the jsonschema library."""
    jsonschema = pytest.importorskip("jsonschema")
    documented = json.loads((DOCS / "export-schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(documented)
    jsonschema.validate(json.loads(as_json(whole_day())), documented)


@pytest.fixture
def data(tmp_path: Path) -> Path:
    path = tmp_path / "diary.db"
    (tmp_path / "in.json").write_bytes(as_json(whole_day()))
    assert main(["--data", str(path), "import", str(tmp_path / "in.json")]) == 0
    return path


@pytest.mark.parametrize(
    ("kind", "start"),
    [("html", b"<!doctype html>"), ("pdf", b"%PDF-"), ("labels", b"%PDF-"), ("csv", b"PK\x03\x04"), ("json", b"{"), ("ics", b"BEGIN:VCALENDAR")],
)
def test_command_writes_each_kind(data: Path, tmp_path: Path, kind: str, start: bytes) -> None:
    if kind == "ics":
        store = Store.open(data)
        event = Event.model_validate(
            {"kind": "reminder_set", "at": datetime(2026, 4, 1, tzinfo=UTC), "data": {"reminder": {"key": "r", "due": "2026-05-01T08:00:00Z", "text": "taste"}}}
        )
        with store.transaction() as connection:
            append_handled(connection, "x", "terminal", [event])
        store.close()
    out = tmp_path / f"out.{kind}"
    assert main(["export", "--data", str(data), "--batch", "heather", "--as", kind, "-o", str(out)]) == 0
    assert out.read_bytes().lstrip().startswith(start)
    assert out.stat().st_mode & 0o077 == 0


def test_command_overwrites_only_when_told(data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out.json"
    out.write_text("mine")
    words = ["export", "--data", str(data), "--as", "json", "-o", str(out)]
    assert main(words) == 1
    assert "is there already" in capsys.readouterr().err
    assert out.read_text() == "mine"
    assert main([*words, "--force"]) == 0
    assert out.read_text() != "mine"


@pytest.mark.parametrize(
    ("words", "tells"),
    [
        (["--batch", "porter"], "No batch is called porter. There are: Heather Lane bitter."),
        (["--chat", "nobody"], "There is no chat nobody"),
    ],
)
def test_command_says_what_is_there(data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], tells: str) -> None:
    assert main(["export", "--data", str(data), *words, "--as", "pdf", "-o", str(tmp_path / "o.pdf")]) == 1
    assert tells in capsys.readouterr().err
    assert not (tmp_path / "o.pdf").exists()


def test_import_refuses_a_second_time(data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--data", str(data), "import", str(tmp_path / "in.json")]) == 1
    assert "nothing of it is overwritten" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["missing.json", "."])
def test_import_of_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    assert main(["--data", str(tmp_path / "d.db"), "import", str(tmp_path / name)]) == 1
    assert "Nothing was changed." in capsys.readouterr().err
    assert not (tmp_path / "d.db").exists()
