"""The real program against a Bot API server that is not ours, over real HTTP, through a proxy that makes faults.

Source: PyPI lo-bot-api-emulator 0.3, which refuses calls that do not follow the Bot API.
"""

from __future__ import annotations

import json
import sqlite3
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bot.telegram_bench.bench import ADA, BEN, STRANGER, TOKEN, Bench
from tests.bot.telegram_bench.conftest import bench  # noqa: F401
from tests.bot.telegram_bench.emulator import free_port
from tests.bot.telegram_bench.served import Served

pytestmark = pytest.mark.slow
LIMITS = {"telegram_rate": "25", "telegram_chat_rate": "1", "log_level": "DEBUG", "status_message": "false"}


@pytest.fixture
def served(bench: Bench, tmp_path: Path) -> Iterator[Served]:  # noqa: F811
    """A server with Ada as its owner, flood limits on."""
    made = Served(bench, tmp_path / "diary.db", **LIMITS)
    try:
        made.pair()
        yield made
    finally:
        made.stop()


def readings(data: Path) -> list[float]:
    """Gravities in the diary of Ada, in order."""
    with sqlite3.connect(data) as file:
        rows = file.execute("SELECT data FROM events WHERE kind = 'reading' AND chat = ? ORDER BY id", (f"telegram:{ADA.id}",))
        return [round(json.loads(row[0])["reading"]["value"]["value"], 3) for row in rows]


def test_a_brew_with_everything_that_a_phone_sends(bench: Bench, served: Served, tmp_path: Path) -> None:  # noqa: F811
    bench.say(STRANGER, "hello")
    bench.hears(STRANGER.id, "private")
    bench.say(STRANGER, "hello?")
    bench.say(ADA, "brew 8 litres of brown ale")
    bench.hears(ADA.id, "8.0 l of brown ale")
    bench.say(ADA, "/next")
    bench.hears(ADA.id, "Tell me the recipe", after=2)
    bench.say(ADA, "gravity 1.050")
    told = bench.hears(ADA.id, "1.050 noted")
    bench.press_label(ADA, told, "undo")
    bench.hears(ADA.id, "Taken back: gravity 1.050")
    bench.press(ADA, "1f.0.0123456789abcdef0123", 9)
    number = bench._message_id + 1
    bench.say(ADA, "gravity 1.051")
    bench.hears(ADA.id, "1.051 noted")
    bench.edit(ADA, number, "gravity 1.052")
    bench.hears(ADA.id, "Corrected:")
    bench.photo(ADA, bench.upload(b"\x89PNG\r\n\x1a\n" + b"0" * 500, "Photo"), "the mash <b>&")
    bench.hears(ADA.id, "Photo kept with brown ale")
    bench.voice(ADA, bench.upload(b"OggS" + b"0" * 500), 504)
    bench.hears(ADA.id, "could not open that as sound")
    bench.say(ADA, "note: a < b & <i>c</i>")
    bench.hears(ADA.id, "a &lt; b &amp; &lt;i&gt;c&lt;/i&gt;")
    bench.say(ADA, "/export")
    bench.quiet(2.0)
    documents = [call for call in bench.sent(ADA.id) if call.method == "sendDocument"]
    assert len(documents) == 1
    assert len(bench.sent(STRANGER.id)) == 1
    assert all(call.complaint is None for call in bench.proxy.calls)
    assert readings(tmp_path / "diary.db") == [1.05, 1.051, 1.052]
    assert served.stop() == 0
    logged = "\n".join(served.said)
    assert TOKEN not in logged
    assert "brown ale" not in logged
    assert not list(tmp_path.glob("*.health"))


def test_reminder_comes_with_big_buttons(bench: Bench, served: Served) -> None:  # noqa: F811
    bench.say(ADA, "timer 1 second")
    told = bench.hears(ADA.id, "Time is up")
    assert list(told.buttons) == ["done", "in 5 minutes", "what now"]
    bench.press_label(ADA, told, "what now")
    bench.hears(ADA.id, "Send readings")


def test_faults_of_the_network_lose_and_reorder_nothing(bench: Bench, served: Served) -> None:  # noqa: F811
    bench.fault("retry_after", "sendMessage", chat=ADA.id, seconds=1)
    bench.fault("html", "sendMessage", skip=2, chat=ADA.id)
    bench.fault("drop_before", "sendMessage", skip=4, chat=ADA.id)
    bench.fault("html", "getUpdates", times=2)
    bench.fault("bad_json", "getUpdates")
    bench.fault("duplicate", "getUpdates", times=2)
    bench.fault("reorder", "getUpdates", times=2)
    for number in range(40, 50):
        bench.say(ADA, f"gravity 1.0{number}")
    bench.hears(ADA.id, "1.049", timeout_s=40)
    told = [call.text for call in bench.sent(ADA.id) if "noted" in call.text]
    order = [text.split("1.0")[1][:2] for text in told]
    assert order == [str(number) for number in range(40, 50)]
    assert served.process.poll() is None


def test_chat_that_blocked_is_left_alone_until_it_writes(bench: Bench, served: Served) -> None:  # noqa: F811
    bench.say(ADA, "timer 3 seconds")
    bench.say(ADA, "timer 4 seconds")
    bench.hears(ADA.id, "4 s timer")
    blocked = bench.fault("refused", "sendMessage", chat=ADA.id, times=9, status=403, description="Forbidden: bot was blocked by the user")
    bench.quiet(5.0)
    assert blocked.times == 8  # asked once, and not again
    blocked.times = 0
    bench.say(ADA, "what's next")
    bench.hears(ADA.id, "Time is up: 3 s")
    bench.hears(ADA.id, "Time is up: 4 s")


def test_killed_and_started_again(bench: Bench, tmp_path: Path) -> None:  # noqa: F811
    data = tmp_path / "diary.db"
    first = Served(bench, data)
    first.pair()
    bench.say(ADA, "gravity 1.050")
    bench.hears(ADA.id, "1.050")
    bench.say(ADA, "remind me in 3 seconds to stir")
    bench.hears(ADA.id, "stir")
    first.kill()
    bench.say(ADA, "gravity 1.051")
    second = Served(bench, data)
    try:
        bench.hears(ADA.id, "1.051")
        bench.hears(ADA.id, "Reminder: stir", timeout_s=30)
        bench.quiet(1.5)
        assert sum("Reminder: stir" in call.text for call in bench.sent(ADA.id)) == 1
        assert [round(each, 3) for each in readings(data)] == [1.05, 1.051]
        third = Served(bench, data, wait=False)
        assert third.process.wait(60) == 1
        third.stop()
        assert "Another Potside is serving" in "\n".join(third.said)
    finally:
        second.stop()


def test_wrong_token_is_said_and_not_tried_again(bench: Bench, tmp_path: Path) -> None:  # noqa: F811
    bench.fault("refused", "getMe", times=5, status=401, description="Unauthorized")
    served = Served(bench, tmp_path / "diary.db", wait=False)
    assert served.process.wait(60) == 2
    served.stop()
    assert "does not know this token" in "\n".join(served.said)


def test_pinned_status_is_edited_in_place(bench: Bench, tmp_path: Path) -> None:  # noqa: F811
    served = Served(bench, tmp_path / "diary.db", status_message="true")
    try:
        served.pair()
        bench.say(ADA, "brew 8 litres of brown ale")
        bench.hears(ADA.id, "brown ale: plan")
        bench.say(ADA, "gravity 1.050")
        assert bench.proxy.wait(
            lambda calls: any(call.method == "editMessageText" and "1.050" in call.text for call in calls), 20
        )
        methods = [call.method for call in bench.proxy.calls]
        assert methods.count("pinChatMessage") == 1
        assert sum("brown ale: plan" in call.text and call.method == "sendMessage" for call in bench.proxy.calls) == 1
    finally:
        served.stop()


def test_webhook_needs_its_secret(bench: Bench, tmp_path: Path) -> None:  # noqa: F811
    port, secret = free_port(), "a-secret-of-sixteen-or-more"
    served = Served(
        bench, tmp_path / "diary.db", wait=False, telegram_webhook_url=f"http://127.0.0.1:{port}/in",
        telegram_webhook_port=str(port), telegram_webhook_secret=secret,
    )  # fmt: skip
    try:
        code = served.code()
        assert bench.proxy.wait(lambda calls: any(call.method == "setWebhook" and call.answered for call in calls), 30)
        bench.say(ADA, code)
        bench.hears(ADA.id, "owner")
        update = {"update_id": 900000, "message": bench.message(BEN, text="hello")}

        def post(headers: dict[str, str], path: str = "in", body: bytes = json.dumps(update).encode()) -> int:
            request = urllib.request.Request(f"http://127.0.0.1:{port}/{path}", body, headers)
            try:
                with urllib.request.urlopen(request, timeout=10) as answer:
                    return int(answer.status)
            except urllib.error.HTTPError as refusal:
                return refusal.code

        good = {"X-Telegram-Bot-Api-Secret-Token": secret}
        assert post({}) == 403
        assert post({"X-Telegram-Bot-Api-Secret-Token": secret + "x"}) == 403
        assert post(good, "other") == 404
        assert post(good, body=b"{") == 400
        bench.quiet(0.5)
        assert bench.sent(BEN.id) == []
        assert post(good) == 200
        bench.hears(BEN.id, "private")
        assert post(good) == 200  # the same update again
        bench.quiet(0.5)
        assert len(bench.sent(BEN.id)) == 1
    finally:
        served.stop()
