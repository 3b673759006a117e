"""`potside rehearse SCRIPT`: a scripted day against a simulated clock, which prints the same every time."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime
from typing import Protocol, TextIO

from bot.attachments import TEXTS, made
from bot.choices import Choices
from bot.clock import SimulatedClock
from bot.engine import Engine, Step
from bot.script import Move, Say, read_script
from bot.store import Incoming, Store
from conversations.session.events import Heard, Reply

CHAT = "rehearsal"


class Written(Protocol):
    """Where the conversation is printed."""

    def write(self, text: str, /) -> int:
        """Print some text."""
        ...


class Rehearsal:
    """One play of a script, printed to ``out``."""

    def __init__(self, start: datetime, out: Written, store: Store | None = None, step: Step | None = None) -> None:
        """Plays in memory unless a store is given."""
        self.store = store or Store.in_memory()
        self._clock = SimulatedClock(start)
        self._out = out
        self._choices = Choices()
        self._day: date | None = None
        self._engine = Engine(self.store, self._clock, self._deliver, step)

    def _print(self, at: datetime, text: str) -> None:
        local = at.astimezone(self._clock.now().tzinfo)
        if self._day is not None and local.date() != self._day:
            self._out.write(f"--- {local:%A} {local.day} {local:%B %Y}\n")
        self._day = local.date()
        stamp = f"[{at.astimezone(self._clock.now().tzinfo):%H:%M}] "
        lines = text.split("\n")
        self._out.write(stamp + ("\n" + " " * len(stamp)).join(lines) + "\n")

    def _deliver(self, chat: str, reply: Reply, at: datetime) -> None:
        lines = [self._choices.shown(reply)] if reply.text else []
        for attachment in reply.attachments:
            # Pictures and pages are named only: they take long, and where they lie differs from play to play.
            text = made(self.store.diary(chat), attachment) if attachment.kind in TEXTS else None
            lines.append(text if isinstance(text, str) else f"[{attachment.alt}]")
        self._print(at, "\n".join(lines))

    def say(self, text: str, source_id: str) -> None:
        """One message; a bare number picks a choice that was offered."""
        now = self._clock.now()
        self._print(now, f"> {text}")
        says = self._choices.said(text, self.store.state(CHAT).expects)
        self._choices.forget()
        self._engine.handle(Incoming(source_id, CHAT, Heard(text=says), now))
        # A message may set what is due at once, such as the first hops when the boil starts.
        self._engine.fire_due()

    def move_to(self, when: datetime) -> None:
        """Let time pass, stopping at each reminder when it falls due."""
        while True:
            following = self.store.next_due(CHAT, self._clock.now())
            if following is None or following.due > when:
                break
            self._clock.move_to(following.due)
            self._engine.fire_due()
        self._clock.move_to(when)
        self._engine.fire_due()

    def play(self, start: datetime, steps: Iterable[Say | Move], before: Callable[[Say | Move], None] | None = None) -> None:
        """Every step of a script in turn; ``before`` is called with each one first."""
        # Counted in UTC: adding hours to a local time would miss the change to summer time.
        now = start.astimezone(UTC)
        for one in steps:
            if before is not None:
                before(one)
            if isinstance(one, Move):
                now += one.by
                self.move_to(now)
            else:
                self.say(one.text, f"script:{one.line}")


def rehearse(lines: Iterable[str], out: TextIO, step: Step | None = None) -> None:
    """Play a script and print the conversation; raises ScriptError before anything is printed."""
    start, steps = read_script(lines)
    rehearsal = Rehearsal(start, out, step=step)
    rehearsal.play(start, steps)
    rehearsal.store.close()
