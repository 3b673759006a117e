"""Attacks on the program as a whole that no part's own tests make; docs/threats.md says which test stands for what."""

from __future__ import annotations

import ast
import io
import os
import re
import stat
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import icalendar
import pytest

from bot.attachments import Diary, File
from bot.backup import make_backup
from bot.clock import SimulatedClock
from bot.engine import Engine
from bot.export.calendar import reminders_ics
from bot.export.tables import tables
from bot.made_files import folder_beside, keep
from bot.main import main
from bot.only_one import only_one
from bot.sent_files import keep_sent
from bot.store import Incoming, Store
from bot.telegram import health
from conversations.session.events import Attachment, Heard
from tests.bot.played_days import fermenting

ROOT = Path(__file__).parents[2]
NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def open_to_others(folder: Path) -> list[str]:
    """What in a folder others of this machine could read or write."""
    return [
        f"{each.relative_to(folder)} {stat.S_IMODE(each.stat().st_mode):o}"
        for each in folder.rglob("*")
        if each.stat().st_mode & 0o077
    ]


def test_nothing_that_is_written_can_be_read_by_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # The most careless setting that there is.
    before = os.umask(0)
    try:
        data = tmp_path / "made" / "diary.db"
        with only_one(data):
            store = Store.open(data)
            engine = Engine(store, SimulatedClock(NOW), lambda chat, reply, at: None)
            engine.handle(Incoming("a:1", "terminal", Heard(text="gravity 1.050"), NOW))
            keep_sent(data, "telegram:1", b"\xff\xd8photo", NOW)
            keep(folder_beside(data), File("chart.png", "image/png", b"picture"))
            make_backup(data, NOW, 7)
            health.write(data, NOW, {})
            names = {each.name for each in data.parent.rglob("*")}
            assert {"diary.db", "diary.db-wal", "diary.db-shm", "diary.db.lock", "diary.db.health"} <= names
            assert {"diary.backups", "2026-03-14.db", "diary.files", "photos", "telegram_1", "chart.png"} <= names
            assert open_to_others(tmp_path) == []
            store.close()
        assert main(["--data", str(data), "export", "--as", "json", "--output", str(tmp_path / "made" / "out.json")]) == 0
        assert open_to_others(tmp_path) == []
    finally:
        os.umask(before)


def test_a_data_file_that_was_open_to_others_is_closed_to_them(tmp_path: Path) -> None:
    data = tmp_path / "diary.db"
    Store.open(data).close()
    data.chmod(0o644)
    store = Store.open(data)
    store.take("a:1", "terminal", Heard(text="x"), NOW)
    assert open_to_others(tmp_path) == []
    store.close()


HOSTILE = (
    "'; DROP TABLE events; --", '" OR 1=1 --', "x'); DELETE FROM inbox; --", "%s%n{0}", "\\'; --", "NULL", "?1", ":chat", "a\tb",
)  # fmt: skip


def test_words_that_are_sql_stay_words(tmp_path: Path) -> None:
    store = Store.open(tmp_path / "d.db")
    engine = Engine(store, SimulatedClock(NOW), lambda chat, reply, at: None)
    for number, words in enumerate(HOSTILE):
        for chat in ("terminal", words):
            engine.handle(Incoming(f"{words}:{chat}:{number}", chat, Heard(text=f"note: {words}", who=words), NOW))
    notes = [event.data["text"] for _, _, event in store.events("terminal") if event.kind == "note"]
    assert notes == list(HOSTILE)
    assert set(store.chats()) == {"terminal", *HOSTILE}
    for words in HOSTILE:
        store.search(words, words)
        assert len([1 for _, _, event in store.events(words) if event.kind == "note"]) == 1
    assert store.rows("PRAGMA integrity_check") == [("ok",)]


def test_no_statement_is_put_together_from_words() -> None:
    """Values go into SQL as parameters; what is put into a statement itself are these, which hold nothing that came in."""
    ours = {"marks", "reachable", "new", "_KINDS", "_TEXT.format('')", "_TEXT.format('new.')"}
    put_in = set()
    for page in (ROOT / "bot").rglob("*.py"):
        for node in ast.walk(ast.parse(page.read_text(encoding="utf-8"))):
            if isinstance(node, ast.JoinedStr):
                text = "".join(str(each.value) for each in node.values if isinstance(each, ast.Constant))
                if re.search(r"\b(SELECT .* FROM|INSERT (OR \w+ )?INTO|DELETE FROM|UPDATE \w+ SET)\b", text):
                    put_in |= {ast.unparse(each.value) for each in node.values if isinstance(each, ast.FormattedValue)}
    assert "marks" in put_in
    assert put_in <= ours


_NEVER = {
    "eval": "runs words", "exec": "runs words", "compile": "runs words", "os.system": "runs a shell", "os.popen": "runs a shell",
    "pickle.load": "runs what it reads", "pickle.loads": "runs what it reads", "marshal.loads": "runs what it reads",
    "shelve.open": "runs what it reads", "tarfile.open": "unpacks", "shutil.unpack_archive": "unpacks", "zlib.decompress": "unpacks",
    "gzip.open": "unpacks", "gzip.decompress": "unpacks", "yaml.load": "runs what it reads", "tempfile.mktemp": "can be foreseen",
}  # fmt: skip


def _name(node: ast.expr) -> str:
    if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
        return f"{node.value.id}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else ""


def test_nothing_that_comes_in_is_run_or_unpacked() -> None:
    found = []
    for package in ("bot", "calc", "conversations"):
        for page in (ROOT / package).rglob("*.py"):
            for node in ast.walk(ast.parse(page.read_text(encoding="utf-8"))):
                if not isinstance(node, ast.Call):
                    continue
                name = _name(node.func)
                if name in _NEVER:
                    found.append(f"{page.name}:{node.lineno} {name} {_NEVER[name]}")
                if name == "zipfile.ZipFile" and not (len(node.args) > 1 and getattr(node.args[1], "value", "") == "w"):
                    found.append(f"{page.name}:{node.lineno} opens an archive")
                if any(word.arg == "shell" for word in node.keywords):
                    found.append(f"{page.name}:{node.lineno} runs a shell")
                if name == "Image.open" and page.name != "shrunk_photo.py":
                    found.append(f"{page.name}:{node.lineno} opens a picture without its limits")
                if name == "av.open" and page.name != "audio.py":
                    found.append(f"{page.name}:{node.lineno} opens a sound without its limits")
    assert found == []


def with_name(name: str) -> Diary:
    """A played diary whose batch is called so, as no message could call it, but a file or a later way in might."""
    diary = fermenting("remind me tomorrow at 8 to look")
    batch = diary.state.batches[0].model_copy(update={"name": name})
    return cast(Diary, SimpleNamespace(state=diary.state.model_copy(update={"batches": (batch,)}), events=diary.events))


def test_a_name_cannot_add_lines_to_a_calendar() -> None:
    made = [
        reminders_ics(with_name(name), Attachment(kind="reminders_ics", alt="", batch=1))
        for name in ("ale", "ale\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:evil\nX-EVIL:1\rX-EVIL:2\x85X-EVIL:3\u2028X-EVIL:4")
    ]
    plain, hostile = (each.data if isinstance(each, File) else b"" for each in made)
    count = len(icalendar.Calendar.from_ical(plain).walk("VEVENT"))
    assert count > 0
    assert len(icalendar.Calendar.from_ical(hostile).walk("VEVENT")) == count
    assert not any(line.startswith(("SUMMARY:evil", "X-EVIL")) for line in hostile.decode().splitlines())


def test_an_escape_sequence_does_not_reach_a_terminal(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("note: \x1b[2Jcleared\x07\u202e\nbrew 5 litres of \x1b]0;evil\x07ale\nnotes\ndiary\nbatches\n"))
    assert main(["--data", str(tmp_path / "d.db")]) == 0
    said = capsys.readouterr().out
    assert "cleared" in said
    assert not set(said) & {"\x1b", "\x07", "\u202e"}


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r=", "＝"])
def test_no_name_becomes_a_formula(start: str) -> None:
    for text in tables(with_name(f'{start}HYPERLINK("http://x.example")')).values():
        assert not re.search(r'(^|,)"?\s*[=+@\-＝]HYPERLINK', text, re.MULTILINE)
