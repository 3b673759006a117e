"""`potside export` and `potside import`."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from bot.attachments import File, make
from bot.export.photos_in_file import lay_down
from bot.export.restore import CannotRestore, photos_of, read_file, state_of
from bot.store import Store
from bot.store_errors import StoreError
from bot.store_restore import restore
from bot.terminal import CHAT
from conversations.session.events import Attachment
from conversations.session.state import State
from conversations.short_code import read_code

MAKER_OF = {
    "html": "batch_html",
    "pdf": "batch_pdf",
    "labels": "labels",
    "csv": "data_csv",
    "json": "data_json",
    "ics": "reminders_ics",
}


class _Refused(Exception):
    """What was asked for cannot be done; the text is a sentence."""


def export(arguments: argparse.Namespace, data: Path) -> int:
    """Write what was asked for; returns the exit code."""
    output: Path = arguments.output
    store = Store.open(data, read_only=True)
    try:
        chat = _chat(store, arguments.chat)
        diary = store.diary(chat)
        batch = _batch(diary.state, arguments.batch)
        found = make(diary, Attachment(kind=MAKER_OF[arguments.kind], alt="", batch=batch))
        if isinstance(found, str):
            raise _Refused(found)
        if str(output) == "-":
            sys.stdout.buffer.write(found.data)
            sys.stdout.buffer.flush()
            return 0
        _write(output, found, arguments.force)
    except _Refused as refused:
        print(f"potside: {refused}", file=sys.stderr)
        return 1
    finally:
        store.close()
    print(f"{output}: {len(found.data) / 1024:.0f} kB.")
    return 0


def _chat(store: Store, wanted: str | None) -> str:
    chats = store.chats()
    if wanted is not None:
        if wanted not in chats:
            raise _Refused(f"There is no chat {wanted} in {store.path}. It holds: {', '.join(chats) or 'none'}.")
        return wanted
    if CHAT in chats or not chats:
        return CHAT
    if len(chats) == 1:
        return chats[0]
    raise _Refused(f"{store.path} holds several chats: {', '.join(chats)}. Name one with --chat.")


def _batch(state: State, name: str | None) -> int | None:
    if name is None:
        return state.current if state.current is not None else (state.batches[-1].id if state.batches else None)
    code = read_code(name)
    found = [each for each in state.batches if each.id == code or name.lower() in each.name.lower()]
    exact = [each for each in found if each.name.lower() == name.lower() or each.id == code]
    if not found:
        known = ", ".join(each.name for each in state.batches[-8:])
        raise _Refused(f"No batch is called {name}." + (f" There are: {known}." if known else ""))
    return (exact or found)[-1].id


def _write(path: Path, file: File, force: bool) -> None:
    try:
        flags = os.O_CREAT | os.O_WRONLY | (os.O_TRUNC if force else os.O_EXCL)
        handle = os.open(path, flags, 0o600)
    except FileExistsError:
        raise _Refused(f"{path} is there already. Name another file, or add --force to overwrite it.") from None
    except OSError as error:
        raise _Refused(f"{path} cannot be written: {(error.strerror or 'unknown').lower()}.") from error
    with open(handle, "wb") as out:
        out.write(file.data)


def restore_from(arguments: argparse.Namespace, data: Path) -> int:
    """Restore everything from a file; returns the exit code."""
    try:
        found = read_file(arguments.file)
        state, photos = state_of(found), photos_of(found)
    except CannotRestore as error:
        print(f"potside: {error} Nothing was changed.", file=sys.stderr)
        return 1
    chat = arguments.chat or CHAT
    store = Store.open(data)
    try:
        entries = [entry.events for entry in found.entries]
        restore(store, chat, entries, state)
    except StoreError as error:
        print(f"potside: {error}", file=sys.stderr)
        return 1
    finally:
        store.close()
    try:
        laid = lay_down(data, photos)
    except OSError as error:
        print(f"potside: the diary is restored, its photos could not be written: {(error.strerror or 'unknown').lower()}.", file=sys.stderr)
        laid = 0
    readings = sum(len(batch.readings) for batch in state.batches)
    counted: list[tuple[int, str, str]] = [(len(state.batches), "batch", "es"), (readings, "reading", "s"), (len(state.reminders), "reminder", "s")]
    if laid:
        counted.append((laid, "photo", "s"))
    print(", ".join(f"{n} {word}{more if n != 1 else ''}" for n, word, more in counted) + f" restored to {data}.")
    return 0
