"""What goes along with a reply: kept beside the data file, named in a rehearsal, never the loss of a reply."""

from __future__ import annotations

import io
import stat
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot import attachments
from bot.attachments import Diary, File, made
from bot.clock import SimulatedClock
from bot.made_files import folder_beside, keep, safe_name
from bot.rehearse import Rehearsal
from bot.store import Store
from bot.terminal import CHAT, Terminal
from conversations.session.events import Attachment, Due, Event, Heard, Reply
from conversations.session.fold import fold
from conversations.session.outcome import Outcome
from conversations.session.state import State

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def a_picture(diary: Diary, attachment: Attachment) -> File:
    return File("../Märzen: gravity.png", "image/png", b"picture of " + diary.state.notes[-1].encode())


def some_words(diary: Diary, attachment: Attachment) -> str:
    return f"{len(diary.events())} events"


def breaks(diary: Diary, attachment: Attachment) -> File:
    raise ZeroDivisionError


@pytest.fixture(autouse=True)
def _makers(monkeypatch: pytest.MonkeyPatch) -> None:
    for kind in ("a_picture", "some_words", "breaks"):
        monkeypatch.setitem(attachments.MAKERS, kind, f"{__name__}:{kind}")


def step(state: State, message: Heard | Due, now: datetime) -> Outcome:
    assert isinstance(message, Heard)
    kind, _, text = message.text.partition(" ")
    events = (Event(kind="heard", at=now, data={"text": text}), Event(kind="note", at=now, data={"text": text}))
    reply = Reply(text="Here it is.", attachments=(Attachment(kind=kind, alt=f"Alt of {kind}."),))
    return Outcome(events=events, replies=(reply,), state=fold(state, events))


def a_terminal(path: Path) -> tuple[Terminal, io.StringIO]:
    out = io.StringIO()
    terminal = Terminal(Store.open(path), SimulatedClock(NOW), out)
    terminal.engine._step = step
    return terminal, out


def test_file_is_written_beside_the_data_and_the_line_says_where(tmp_path: Path) -> None:
    terminal, out = a_terminal(tmp_path / "diary.db")
    terminal.say("a_picture one")
    path = tmp_path / "diary.files" / "Marzen-gravity.png"
    assert out.getvalue() == f"Here it is.\nAlt of a_picture.\n  {path}\n"
    assert path.read_bytes() == b"picture of one"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_other_contents_of_one_name_are_kept_beside(tmp_path: Path) -> None:
    terminal, _ = a_terminal(tmp_path / "diary.db")
    for text in ("one", "two", "one"):
        terminal.say(f"a_picture {text}")
    kept = {path.name: path.read_bytes() for path in (tmp_path / "diary.files").iterdir()}
    assert kept == {"Marzen-gravity.png": b"picture of one", "Marzen-gravity-2.png": b"picture of two"}


def test_words_are_shown_as_words(tmp_path: Path) -> None:
    terminal, out = a_terminal(tmp_path / "diary.db")
    terminal.say("some_words x")
    assert out.getvalue() == "Here it is.\n2 events\n"


@pytest.mark.parametrize("kind", ["breaks", "nothing_makes_this"])
def test_what_cannot_be_made_becomes_a_sentence(tmp_path: Path, kind: str) -> None:
    terminal, out = a_terminal(tmp_path / "diary.db")
    terminal.say(f"{kind} x")
    assert out.getvalue().startswith(f"Here it is.\nI could not make this: Alt of {kind}.")
    assert terminal._store.unsent(CHAT) == []


def test_a_folder_that_cannot_be_made_becomes_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "diary.files").write_text("in the way")
    terminal, out = a_terminal(tmp_path / "diary.db")
    terminal.say("a_picture x")
    assert "That could not be written: file exists." in out.getvalue()


def test_rehearsal_names_what_it_would_send() -> None:
    out = io.StringIO()
    rehearsal = Rehearsal(NOW, out, step=step)
    rehearsal.say("a_picture one", "1")
    assert out.getvalue() == "[09:30] > a_picture one\n[09:30] Here it is.\n        [Alt of a_picture.]\n"


def test_names_stay_in_their_folder(tmp_path: Path) -> None:
    for name in ("../../etc/passwd", "/etc/passwd", "..", "a\0b.png", "CON ", "x" * 500 + ".png", "日本.png", ""):
        path = keep(tmp_path / "f", File(name, "text/plain", name.encode()))
        assert path.parent == tmp_path / "f"
        assert path.is_file()
    assert len(safe_name("x" * 500 + ".png")) < 100


def test_a_link_is_not_written_through(tmp_path: Path) -> None:
    (tmp_path / "f").mkdir()
    (tmp_path / "elsewhere").write_text("mine")
    (tmp_path / "f" / "a.txt").symlink_to(tmp_path / "elsewhere")
    keep(tmp_path / "f", File("a.txt", "text/plain", b"theirs"))
    assert (tmp_path / "elsewhere").read_text() == "mine"


def test_folder_is_named_after_the_data_file() -> None:
    assert folder_beside(Path("/x/diary.db")) == Path("/x/diary.files")


def test_a_missing_maker_is_logged_not_raised(caplog: pytest.LogCaptureFixture) -> None:
    diary = Store.in_memory().diary("c")
    assert isinstance(made(diary, Attachment(kind="nothing", alt="A.")), str)
    assert "attachment nothing" in caplog.text
