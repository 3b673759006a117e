"""Who may not talk gets one neutral line and nothing else; forged, stale and foreign things change nothing."""

from __future__ import annotations

import re
import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bot.telegram_bench.bench import ADA, BEN, GROUP, STRANGER, TOKEN, Bench
from tests.bot.telegram_bench.served import Served

pytestmark = pytest.mark.slow
EVE = STRANGER._replace(id=667, name="Eve")


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return tmp_path / "house" / "diary.db"


@pytest.fixture
def served(bench: Bench, data: Path) -> Iterator[Served]:
    data.parent.mkdir()
    server = Served(bench, data)
    server.pair()
    yield server
    server.stop()
    said = "\n".join(server.said)
    assert TOKEN not in said
    assert TOKEN.partition(":")[2] not in said
    assert "Traceback" not in said, said


def invited(bench: Bench) -> str:
    """The payload of a fresh invitation from Ada."""
    before = len(bench.sent(ADA.id))
    bench.say(ADA, "/invite")
    return re.findall(r"start=([\w-]+)", bench.hears(ADA.id, "start=", after=before).text)[0]


def events(data: Path) -> list[tuple[str, str]]:
    """Chat and kind of everything in the diary."""
    with sqlite3.connect(f"file:{data}?mode=ro", uri=True) as diary:
        return diary.execute("SELECT chat, kind FROM events WHERE kind <> 'settings_told'").fetchall()


def test_stranger_gets_one_line_and_then_nothing(bench: Bench, served: Served, data: Path) -> None:
    bench.say(ADA, "brew 5 litres of quiet ale")
    bench.hears(ADA.id, "started")
    voice = bench.upload(b"OggS" + bytes(5000))
    for text in ("hello", "/start", "/start " + "A" * 64, "diary", "undo", "WRNG-CODE", "x" * 4096, "\x00\u202e\ud83c\udf7a"):
        bench.say(STRANGER, text)
    bench.voice(STRANGER, voice, 5004)
    bench.photo(STRANGER, bench.upload(b"\x89PNG" + bytes(100), "Photo"))
    bench.document(STRANGER, voice, "../../../etc/cron.d/x")
    for forged in ("1.0.00000000000000000000", "", "../..", "1", "ffffffffffffffff.9.x", "1.0." + "a" * 50):
        if forged:
            bench.press(STRANGER, forged, 1)
    bench.say(ADA, "diary")
    bench.hears(ADA.id, "quiet ale, started")
    bench.quiet()
    told = bench.sent(STRANGER.id)
    assert len(told) == 1
    assert "private" in told[0].text
    assert "quiet" not in told[0].text
    assert not any(call.method == "getFile" for call in bench.proxy.calls), "a stranger's file was fetched"
    assert {chat for chat, _ in events(data)} == {f"telegram:{ADA.id}"}


def test_somebody_elses_button_does_nothing(bench: Bench, served: Served, data: Path) -> None:
    bench.say(BEN, "/start " + invited(bench))
    bench.hears(BEN.id, "Welcome")
    bench.say(ADA, "brew 5 litres of quiet ale")
    bench.hears(ADA.id, "started")
    bench.say(ADA, "gravity 1.050")
    call = bench.hears(ADA.id, "1.050")
    undo = next(value for label, value in call.buttons.items() if "undo" in label.lower())
    before = events(data)
    number = int(call.result["message_id"])
    for who in (BEN, STRANGER):
        bench.press(who, undo, number)
    # The right data, but each letter of its signature changed in turn.
    for place in range(len(undo)):
        bench.press(ADA, undo[:place] + ("0" if undo[place] != "0" else "1") + undo[place + 1 :], number)
    bench.quiet()
    assert events(data) == before
    assert not bench.sent(STRANGER.id) or "private" in bench.sent(STRANGER.id)[0].text
    bench.press(ADA, undo, number)
    bench.hears(ADA.id, "Taken back")
    after = events(data)
    # Pressed again, and once more after a restart of the phone: taken back once.
    bench.press(ADA, undo, number)
    bench.press(ADA, undo, number)
    bench.quiet()
    assert events(data) == after


def test_invitation_holds_once(bench: Bench, served: Served) -> None:
    payload = invited(bench)
    bench.say(BEN, f"/start {payload}")
    bench.hears(BEN.id, "Welcome")
    bench.say(EVE, f"/start {payload}")
    bench.say(STRANGER, f"/start {payload[:-1]}")
    # The same update again, as after a lost confirmation, with the invitation in it.
    bench.fault("duplicate", "getUpdates", times=3)
    bench.say(BEN, "what's next")
    bench.quiet()
    for who in (EVE, STRANGER):
        bench.hears(who.id, "private")
        assert [("private" in call.text) for call in bench.sent(who.id)] == [True]
    bench.say(BEN, f"/start {payload}")
    bench.hears(BEN.id, "does not hold")
    bench.say(BEN, "/people")
    bench.hears(BEN.id, "Only the owner")


def test_removed_person_is_a_stranger_again(bench: Bench, served: Served, data: Path) -> None:
    bench.say(BEN, "/start " + invited(bench))
    bench.hears(BEN.id, "Welcome")
    bench.say(BEN, "remind me in 3 seconds to smell the yeast")
    bench.hears(BEN.id, "smell the yeast")
    # Told within a second of the link itself: one message a second goes to a chat.
    bench.hears(ADA.id, "Ben may talk to me")
    before = len(bench.sent(ADA.id))
    bench.say(ADA, "/people")
    listed = bench.hears(ADA.id, "Ben", after=before).text
    place = re.findall(r"(\d+)\. Ben", listed)[0]
    bench.say(ADA, f"/remove {place}")
    bench.hears(ADA.id, "removed")
    told = len(bench.sent(BEN.id))
    kept = len([chat for chat, _ in events(data) if chat == f"telegram:{BEN.id}"])
    bench.say(BEN, "gravity 1.040")
    time.sleep(4)
    bench.quiet()
    assert len(bench.sent(BEN.id)) - told <= 1
    assert not any("smell" in call.text for call in bench.sent(BEN.id)[told:])
    assert len([c for c, kind in events(data) if c == f"telegram:{BEN.id}" and kind in ("heard", "reading")]) <= kept


def test_group_member_who_is_not_allowed(bench: Bench, served: Served, data: Path) -> None:
    bench.say(ADA, "brew 5 litres of shared ale", chat=GROUP)
    bench.hears(GROUP, "started")
    told = len(bench.sent(GROUP))
    for text in ("gravity 1.050", "undo", "diary", "/people"):
        bench.say(STRANGER, text, chat=GROUP)
    bench.quiet()
    assert len(bench.sent(GROUP)) == told
    assert (f"telegram:{GROUP}", "reading") not in events(data)


def test_long_binary_and_odd_text_of_the_owner(bench: Bench, served: Served) -> None:
    for text in ("x" * 4096, "\U0001f37a" * 2048, "<b>&lt;</i>&amp;&#0;" * 100, "'; DROP TABLE events; --", "\x1b[2J\u202e\u0000a"):
        before = len(bench.sent(ADA.id))
        bench.say(ADA, text)
        bench.hears(ADA.id, "", after=before)
    for text in ("note: <b>bold & <script>", "brew 5 litres of <i>&amp;</b> ale"):
        before = len(bench.sent(ADA.id))
        bench.say(ADA, text)
        told = bench.hears(ADA.id, "", after=before)
        assert told.fields.get("parse_mode") == "HTML"
    assert not [call for call in bench.sent(done=False) if call.complaint]


def test_path_tricks_and_a_voice_note_of_twenty_megabytes(bench: Bench, served: Served, data: Path) -> None:
    small = bench.upload(b"OggS" + bytes(3000))
    bench.proxy.file_paths[small] = "voice/../../../../etc/escaped.oga"
    for action in (
        lambda: bench.voice(ADA, small, 3004),
        lambda: bench.voice(ADA, small, 20 * 1024 * 1024 + 1),
        lambda: bench.voice(ADA, small, 3004, seconds=86_400),
        lambda: bench.document(ADA, small, "../../../escaped.txt"),
        lambda: bench.document(ADA, small, "a\x00b/../c.png" + "d" * 200),
    ):
        before = len(bench.sent(ADA.id))
        action()
        bench.hears(ADA.id, "", after=before)
    picture = bench.upload(b"\x89PNG\r\n\x1a\n" + bytes(2000), "Photo")
    bench.proxy.file_paths[picture] = "photos/../../../escaped.png"
    before = len(bench.sent(ADA.id))
    bench.photo(ADA, picture, "gravity 1.050")
    bench.hears(ADA.id, "", after=before)
    bench.fault("refused", "getFile", status=400, description="Bad Request: file is too big")
    before = len(bench.sent(ADA.id))
    bench.photo(ADA, picture)
    bench.hears(ADA.id, "", after=before)
    outside = [path for path in data.parent.parent.rglob("*escaped*") if data.parent not in path.parents]
    assert outside == []
    assert not Path("/etc/escaped.oga").exists()
    loose = [path for path in data.parent.rglob("*") if path.stat().st_mode & 0o077]
    assert loose == [], "files that others on this machine may read"
