"""The commands `serve`, and its check, as the command line calls them."""

from __future__ import annotations

import asyncio
import os
import sys
from pathlib import Path

from bot.backup import backups
from bot.backup import restore as put_back
from bot.clock import SystemClock
from bot.only_one import only_one
from bot.store import Store
from bot.store_errors import StoreError
from bot.telegram.settings import Settings, SettingsError, default_file, findings, load, open_to_others


def _data(given: Path | None, settings: Settings, default: Path) -> Path:
    return (given or settings.data or default).expanduser()


def serve(given: Path | None, file: Path | None, default: Path, new_owner: bool = False) -> int:
    """Serve on Telegram until stopped; with ``new_owner`` a pairing code is printed although somebody paired."""
    try:
        settings = load(file)
    except SettingsError as error:
        for line in error.lines:
            print(f"potside: {line}", file=sys.stderr)
        return 2
    from bot.telegram import logs

    logs.start(settings.token, settings.log_level)
    # Whatever is written from here on is the owner's business alone.
    os.umask(0o077)
    path = _data(given, settings, default)
    with only_one(path):
        # Opening checks the file; a damaged one is named and left alone.
        store = Store.open(path)
        try:
            from bot.telegram.access import Access
            from bot.telegram.service import serve as run

            if new_owner:
                Access(store).depose()

            return run(settings, store, SystemClock())
        finally:
            store.close()


def restore(data: Path, chosen: str | None) -> int:
    """Put a backup in the place of the data file, or list what there is."""
    found = backups(data)
    if chosen is None:
        for path in found:
            print(f"{path.stem}  {path.stat().st_size / 1e6:.1f} MB  {path}")
        print('"potside restore DATE" puts one back.' if found else f"There is no backup of {data} yet.")
        return 0
    path = next((copy for copy in found if copy.stem == chosen), Path(chosen))
    with only_one(data):
        aside = put_back(data, path, SystemClock().now())
    print(f"{data} is as it was in {path.name}." + (f" What it was before is in {aside}." if aside else ""))
    return 0


def check(given: Path | None, file: Path | None, default: Path) -> int:
    """Say in plain words what is wrong with the settings, the data file and the token."""
    try:
        settings = load(file)
    except SettingsError as error:
        for line in error.lines:
            print(line)
        return 2
    path = _data(given, settings, default)
    problems = findings(settings, path) + open_to_others(file or default_file())
    try:
        if path.exists():
            Store.open(path, read_only=True).close()
    except StoreError as error:
        problems.append(str(error))
    problems += asyncio.run(_ask_service(settings))
    for line in problems:
        print(line)
    if not problems:
        print(f"All is well. The diary is {path}.")
    return 1 if problems else 0


async def _ask_service(settings: Settings) -> list[str]:
    from telegram.error import InvalidToken, TelegramError

    from bot.telegram.service import make_bot

    bot = make_bot(settings)
    try:
        await bot.initialize()
        await bot.shutdown()
    except InvalidToken:
        return ["The service does not know this token."]
    except TelegramError as trouble:
        return [f"The service at {settings.telegram_base_url} does not answer ({type(trouble).__name__})."]
    return []
