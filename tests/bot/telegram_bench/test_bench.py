"""The bench itself, checked with a bare bot of python-telegram-bot that knows nothing of Potside."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

import pytest
from telegram import Update
from telegram.error import BadRequest, Conflict, NetworkError, RetryAfter, TelegramError, TimedOut
from telegram.ext import Application, CallbackQueryHandler, ContextTypes, MessageHandler, filters

from tests.bot.telegram_bench.bench import ADA, BEN, TOKEN, Bench
from tests.bot.telegram_bench.markup import complaint

KINDS = [Update.MESSAGE, Update.EDITED_MESSAGE, Update.CALLBACK_QUERY]


def built(bench: Bench) -> Application:  # type: ignore[type-arg]
    return (
        Application.builder().token(TOKEN).base_url(f"{bench.url}/bot").base_file_url(f"{bench.url}/file/bot")
        .read_timeout(2).get_updates_read_timeout(5).build()
    )  # fmt: skip


async def with_bot(bench: Bench, work: Callable[[Application], Awaitable[None]]) -> None:  # type: ignore[type-arg]
    """Run an echo bot by long polling while ``work`` goes on."""
    app = built(bench)

    async def echo(update: Update, context: ContextTypes.DEFAULT_TYPE) -> None:
        assert update.effective_message is not None
        mark = "edited: " if update.edited_message else ""
        await update.effective_message.reply_text(f"{mark}{update.effective_message.text}")

    async def pressed(update: Update, context: ContextTypes.DEFAULT_TYPE) -> None:
        assert update.callback_query is not None
        await update.callback_query.answer()
        assert update.effective_chat is not None
        await context.bot.send_message(update.effective_chat.id, f"pressed {update.callback_query.data}")

    app.add_handler(MessageHandler(filters.TEXT, echo))
    app.add_handler(CallbackQueryHandler(pressed))
    async with app:
        assert app.updater is not None
        await app.start()
        await app.updater.start_polling(allowed_updates=KINDS, poll_interval=0, timeout=2)
        try:
            await work(app)
        finally:
            await app.updater.stop()
            await app.stop()


async def test_echo_over_both(bench: Bench) -> None:
    async def work(app: Application) -> None:  # type: ignore[type-arg]
        assert app.bot.username == "bench_bot"
        await asyncio.to_thread(bench.say, ADA, "hello")
        await asyncio.to_thread(bench.say, BEN, "/start ABCD")
        await asyncio.to_thread(bench.press, ADA, "n1:done", 1)
        await asyncio.to_thread(bench.edit, ADA, 1001, "hello again")
        for chat, words in ((ADA.id, "hello"), (BEN.id, "/start ABCD"), (ADA.id, "pressed n1"), (ADA.id, "edited: ")):
            await asyncio.to_thread(bench.hears, chat, words)

    await with_bot(bench, work)
    assert [call.text for call in bench.sent(BEN.id)] == ["/start ABCD"]
    assert all(call.answered and call.done for call in bench.sent())


async def test_faults_reach_the_library_as_it_names_them(bench: Bench) -> None:
    expected: list[tuple[str, dict[str, object], type[TelegramError], bool]] = [
        ("retry_after", {"seconds": 7}, RetryAfter, False),
        ("html", {"status": 502}, NetworkError, False),
        ("refused", {"status": 400, "description": "Bad Request: chat not found"}, BadRequest, False),
        ("refused", {"status": 409, "description": "Conflict: terminated"}, Conflict, False),
        ("drop_before", {}, NetworkError, False),
        ("drop_after", {}, NetworkError, True),
        ("half_closed", {}, NetworkError, True),
        ("slow", {"seconds": 3.0}, TimedOut, True),
        ("bad_json", {}, TelegramError, True),
    ]
    app = built(bench)
    async with app:
        for kind, options, error, done in expected:
            planned = bench.fault(kind, "sendMessage", chat=ADA.id, **options)
            with pytest.raises(error) as caught:
                await app.bot.send_message(ADA.id, f"{kind} {options}")
            assert planned.times == 0
            if isinstance(caught.value, RetryAfter):
                assert int(str(getattr(caught.value.retry_after, "seconds", caught.value.retry_after))) == 7
            call = bench.sent(ADA.id, done=False)[-1]
            assert (call.done, call.answered, call.fault) == (done, call.answered, kind)
            if kind in ("drop_before", "drop_after", "half_closed", "bad_json", "slow"):
                assert not call.answered
        await app.bot.send_message(ADA.id, "fine again")
    # The bench notes that it has answered only after the bot may have read the answer.
    assert await asyncio.to_thread(bench.proxy.wait, lambda calls: calls[-1].answered, 20.0)


async def test_updates_twice_and_in_reverse(bench: Bench) -> None:
    app = built(bench)
    async with app:
        first = [bench.say(ADA, f"m{number}") for number in range(3)]
        got = await app.bot.get_updates(allowed_updates=KINDS)
        assert [update.update_id for update in got] == first
        bench.fault("reorder", "getUpdates")
        got = await app.bot.get_updates(allowed_updates=KINDS)
        assert [update.update_id for update in got] == first[::-1]
        new = bench.say(ADA, "m3")
        bench.fault("duplicate", "getUpdates")
        got = await app.bot.get_updates(offset=first[-1] + 1, allowed_updates=KINDS)
        assert [update.update_id for update in got] == [*first, new, new]


async def test_html_is_judged_as_the_platform_would(bench: Bench) -> None:
    app = built(bench)
    async with app:
        await app.bot.send_message(ADA.id, "<b>5 l</b> at 66 &amp; more", parse_mode="HTML")
        for wrong in ("<b>5 l", "1 < 2", "<big>5</big>", "a & b", "<b><i>x</b></i>"):
            with pytest.raises(BadRequest, match="parse"):
                await app.bot.send_message(ADA.id, wrong, parse_mode="HTML")
        await app.bot.pin_chat_message(ADA.id, 5)
    assert [bool(call.complaint) for call in bench.sent(ADA.id, done=False)] == [False] + [True] * 5


async def test_voice_note_can_be_fetched(bench: Bench) -> None:
    app = built(bench)
    async with app:
        file_id = bench.upload(b"OggS" + bytes(2000))
        bench.proxy.file_paths[file_id] = "voice/../../escape.oga"
        bench.voice(ADA, file_id, 2004)
        got = await app.bot.get_updates(allowed_updates=KINDS)
        assert got[0].message is not None
        assert got[0].message.voice is not None
        file = await got[0].message.voice.get_file()
        assert "escape.oga" in str(file.file_path)


@pytest.mark.parametrize(
    ("text", "fine"),
    [
        ("plain", True),
        ('<a href="https://example.org">x</a>', True),
        ("<b onclick='x'>x</b>", False),
        ("<pre><code class=\"language-text\">1 &lt; 2</code></pre>", True),
        ("</b>", False),
        ("&lt;b&gt;", True),
        ("&nbsp;", False),
    ],
)
def test_markup(text: str, fine: bool) -> None:
    assert (complaint(text) is None) == fine
