"""The baseline: a bare python-telegram-bot that sends back what it hears and keeps nothing.

``python benchmarks/echo_bot.py PORT IN_FLIGHT``; with IN_FLIGHT 0 it is the stock bot, one update after the other.
"""

from __future__ import annotations

import sys

from telegram import Update
from telegram.ext import Application, ContextTypes, MessageHandler, filters


async def echo(update: Update, context: ContextTypes.DEFAULT_TYPE) -> None:
    assert update.effective_chat is not None
    assert update.effective_message is not None
    await context.bot.send_message(update.effective_chat.id, update.effective_message.text or "")


def main() -> None:
    port, in_flight = int(sys.argv[1]), int(sys.argv[2])
    builder = Application.builder().token("7:echo").base_url(f"http://127.0.0.1:{port}/bot")
    if in_flight:
        builder = builder.concurrent_updates(in_flight).connection_pool_size(in_flight + 8).pool_timeout(60)
    app = builder.build()
    app.add_handler(MessageHandler(filters.TEXT, echo))
    app.run_polling(allowed_updates=["message"], timeout=20, poll_interval=0)


if __name__ == "__main__":
    main()
