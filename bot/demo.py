"""`potside demo`: an invented batch from recipe to glass in about two minutes; no token, no set-up, nothing kept."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import TextIO

from bot.attachments import File, made
from bot.made_files import keep
from bot.rehearse import CHAT, Rehearsal
from bot.script import Move, Say, read_script
from conversations.session.events import Attachment

READING_SECONDS_A_WORD = 0.07
"""Quicker than reading aloud: about two minutes in all, as the tests count."""
LEAST_PAUSE = 0.5
SHOWN = (("batch_card", "the batch card"), ("gravity_chart", "the gravity chart"), ("batch_html", "the batch as a page"))


class _Counted:
    """Writes through and counts the words, so that pauses are as long as the answers."""

    def __init__(self, out: TextIO) -> None:
        self._out = out
        self.words = 0

    def write(self, text: str) -> int:
        self.words += len(text.split())
        return self._out.write(text)


def script() -> list[str]:
    """The lines of the demo's script."""
    return files("bot").joinpath("data/demo.txt").read_text(encoding="utf-8").splitlines()


def demo(out: TextIO, pause: Callable[[float], None] | None = None, folder: Path | None = None) -> list[Path]:
    """Play the demo and write a card, a chart and a page.

    Args:
        out: where the conversation is printed.
        pause: called with seconds after each answer; None plays without a stop.
        folder: where the files go; a new temporary folder where left out.

    Returns:
        The files that were written.
    """
    lines = script()
    start, steps = read_script(lines)
    told = {number: line[2:].strip() for number, line in enumerate(lines, start=1) if line.startswith("##")}
    counted = _Counted(out)
    play = Rehearsal(start, counted)

    def before(step: Say | Move) -> None:
        if pause is not None:
            pause(LEAST_PAUSE + READING_SECONDS_A_WORD * counted.words)
        counted.words = 0
        for number in sorted(each for each in told if each < step.line):
            counted.write(f"\n   {told.pop(number)}\n\n")
        out.flush()

    play.play(start, steps, before)
    where = folder or Path(tempfile.mkdtemp(prefix="potside-demo-"))
    written = []
    out.write("\n   Made from this batch:\n")
    diary = play.store.diary(CHAT)
    for kind, words in SHOWN:
        thing = made(diary, Attachment(kind=kind, alt=words, batch=diary.state.batches[0].id))
        if isinstance(thing, File):
            path = keep(where, thing)
            written.append(path)
            out.write(f"   {words}: {path}\n")
            out.flush()
    play.store.close()
    out.write('\n   Your turn: the same command without "demo" opens your own chat.\n')
    return written
