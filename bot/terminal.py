"""The chat in the terminal, and the same chat over a pipe: one message per line."""

from __future__ import annotations

import asyncio
import sys
import uuid
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from bot.attachments import made
from bot.choices import Choices
from bot.clock import Clock, SystemClock
from bot.engine import Engine
from bot.sent_files import keep_sent
from bot.store import Incoming, Store
from conversations.session.events import Attachment, Heard, Reply
from conversations.session.fold import batch_of
from conversations.session.stages import stages

if TYPE_CHECKING:
    from bot.speech.microphone import Microphone

LISTEN = "/listen "
TALK = "/talk"
CHAT = "terminal"
"""Name of the chat that the terminal shows; a messenger's chats have other names."""


class Terminal:
    """One person at one terminal."""

    def __init__(self, store: Store, clock: Clock, out: TextIO) -> None:
        """Replies go to ``out``."""
        self._store = store
        self._clock = clock
        self._out = out
        self._choices = Choices()
        self._microphone: Microphone | None = None
        self.engine = Engine(store, clock, self._deliver, only=CHAT)

    def _deliver(self, chat: str, reply: Reply, at: datetime) -> None:
        if reply.text:
            print(self._choices.shown(reply), file=self._out, flush=True)
        for attachment in reply.attachments:
            print(self._attached(chat, attachment), file=self._out, flush=True)

    def _attached(self, chat: str, attachment: Attachment) -> str:
        from bot.made_files import folder_beside, keep

        thing = made(self._store.diary(chat), attachment)
        if isinstance(thing, str):
            return thing
        try:
            return f"{attachment.alt}\n  {keep(folder_beside(self._store.path), thing)}"
        except OSError as error:
            return f"{attachment.alt}\n  That could not be written: {(error.strerror or 'unknown').lower()}."

    def start(self) -> None:
        """Handle and show what a crash or a power cut left over, then what fell due meanwhile."""
        self.engine.recover()
        self.engine.fire_due()

    def say(self, line: str, source_id: str | None = None) -> None:
        """Handle one line; its source id is made up where the sender gave none."""
        if line.strip() == TALK or self.talking:
            message = self._talked(line)
        elif line.startswith(LISTEN):
            message = self._listened(line[len(LISTEN) :].strip())
        else:
            message = self._typed(line)
        if message is None:
            return
        source = f"line:{source_id}" if source_id else f"terminal:{uuid.uuid4().hex}"
        self.engine.handle(Incoming(source, CHAT, message, self._clock.now()))

    def _typed(self, line: str) -> Heard:
        says = self._choices.said(line, self._store.state(CHAT).expects)
        self._choices.forget()
        return Heard(text=says)

    @property
    def talking(self) -> bool:
        """Whether the microphone is open: the next line, an empty one too, ends it."""
        return self._microphone is not None and self._microphone.open

    def _talked(self, line: str) -> Heard | None:
        """Open the microphone, or hear what was said into it; a line typed meanwhile is taken instead of the sound."""
        from bot.speech.microphone import Microphone
        from bot.speech.port import SpeechError

        self._microphone = self._microphone or Microphone()
        try:
            if not self._microphone.open:
                self._microphone.start()
                print("Listening. Enter ends it.", file=self._out, flush=True)
                return None
            data = self._microphone.stop()
        except SpeechError as fault:
            print(fault, file=self._out, flush=True)
            return None
        return self._typed(line) if line.strip() not in ("", TALK) else self._heard(data)

    def _listened(self, path: str) -> Heard | None:
        """What a voice note in a file stands for; None, with a line that says why, where it cannot be read."""
        from bot.speech.commands import read_note
        from bot.speech.port import SpeechError

        try:
            return self._heard(read_note(path))
        except SpeechError as fault:
            print(fault, file=self._out, flush=True)
            return None

    def _heard(self, data: bytes) -> Heard:
        from bot.speech.audio import decode, encode
        from bot.speech.hear import hear_voice
        from bot.speech.port import RATE

        self._choices.forget()
        now, state = self._clock.now(), self._store.state(CHAT)
        heard = hear_voice(data, state, now).message()
        if state.keeps_recordings and heard.made_out:
            # Kept as voice notes are sent, whatever the file was.
            note = encode(decode(data), RATE)
            heard = heard.model_copy(update={"recording": keep_sent(self._store.path, CHAT, note, now)})
        return heard

    def opening(self) -> str:
        """What stands above the first line: how to begin, or where the batch is after a night's sleep."""
        state = self._store.state(CHAT)
        batch = batch_of(state, state.current)
        if batch is None:
            return 'Say "let\'s brew" to start a batch, ask anything about one, or say "help". Ctrl-D leaves.'
        return f'{batch.name}, {stages()[batch.stage].title.lower()}. "what\'s next" tells more, "help" what to say. Ctrl-D leaves.'

    def where(self) -> str:
        """The small picture: stage of the current batch and what comes next, when."""
        state = self._store.state(CHAT)
        batch = batch_of(state, state.current)
        stage = "no batch" if batch is None else f"{batch.name}: {day_line(batch.stage)}"
        now = self._clock.now()
        following = self._store.next_due(CHAT, now)
        if following is None:
            return stage
        what = first_line(following.text)
        return f"{stage} | {_until((following.due - now).total_seconds())} {what}"


def day_line(stage: str) -> str:
    """The day as a line of stages round the present one, which stands in brackets."""
    names = list(stages())
    here = names.index(stage)
    shown = [f"[{name}]" if name == stage else name for name in names][max(0, here - 2) : here + 3]
    line = " > ".join(shown).replace("_", " ")
    return ("" if here <= 2 else "... ") + line + (" ..." if here + 3 < len(names) else "")


def first_line(text: str, width: int = 40) -> str:
    """The start of a text that fits a status line."""
    line = text.partition("\n")[0]
    return line if len(line) <= width else line[: width - 1] + "…"


def _until(seconds: float) -> str:
    """How far away something is, in the unit that a cook would use."""
    if seconds < 90:
        return f"in {max(0, round(seconds))} s:"
    if seconds < 90 * 60:
        return f"in {round(seconds / 60)} min:"
    if seconds < 36 * 3600:
        return f"in {round(seconds / 3600)} h:"
    return f"in {round(seconds / 86400)} days:"


def split_source(line: str) -> tuple[str | None, str]:
    """Take ``id:<token> `` off the front of a line."""
    head, _, rest = line.partition(" ")
    return (head[3:], rest) if head.startswith("id:") and len(head) > 3 else (None, line)


def pipe(store: Store, source_ids: bool = False) -> int:
    """One message per line of standard input; what falls due is shown before each line and at the end.

    With ``source_ids`` a line may start with ``id:<token> ``: the token is answered with ``ok <token>`` once
    the line is committed, and the same token sent again is not handled a second time.
    """
    terminal = Terminal(store, SystemClock(), sys.stdout)
    terminal.start()
    # readline, not iteration: each line is answered before the next is asked for.
    for line in iter(sys.stdin.readline, ""):
        terminal.engine.fire_due()
        token, text = split_source(line.rstrip("\r\n")) if source_ids else (None, line.rstrip("\r\n"))
        terminal.say(text, token)
        if token is not None:
            print(f"ok {token}", flush=True)
    terminal.engine.fire_due()
    return 0


def interactive(store: Store, history: Path) -> int:
    """Chat with line editing and history until the end of input; reminders arrive while you type."""
    return asyncio.run(_chat(store, history))


async def _chat(store: Store, history: Path) -> int:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.history import FileHistory
    from prompt_toolkit.patch_stdout import patch_stdout

    history.touch(mode=0o600)
    session: PromptSession[str] = PromptSession(history=FileHistory(str(history)))
    with patch_stdout():
        terminal = Terminal(store, SystemClock(), sys.stdout)
        terminal.start()
        print(terminal.opening(), flush=True)
        ticking = asyncio.create_task(_tick(terminal))
        try:
            while True:
                asked = asyncio.create_task(
                    session.prompt_async("> ", bottom_toolbar=terminal.where, refresh_interval=1.0)
                )
                done, _ = await asyncio.wait({asked, ticking}, return_when=asyncio.FIRST_COMPLETED)
                if ticking in done:
                    asked.cancel()
                    ticking.result()
                try:
                    line = asked.result()
                except (EOFError, KeyboardInterrupt):
                    return 0
                if line.strip() or terminal.talking:
                    terminal.say(line)
        finally:
            ticking.cancel()


async def _tick(terminal: Terminal) -> None:
    """Look at the wall clock twice a second: that survives a sleeping laptop and a clock put right."""
    while True:
        await asyncio.sleep(0.5)
        terminal.engine.fire_due()
