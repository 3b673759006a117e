"""The messenger's inside without the network: what arrives is made here, what leaves is read from the outbox."""

from __future__ import annotations

from collections.abc import Coroutine
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from bot.clock import SimulatedClock
from bot.engine import Engine, Step
from bot.sent_files import keep_sent
from bot.store import Store
from bot.telegram.access import Access, Person
from bot.telegram.buttons import Buttons
from bot.telegram.desk import Desk
from bot.telegram.erase import erase
from bot.telegram.household import Household
from bot.telegram.inbox import Inbox
from bot.telegram.places import Places
from bot.telegram.schedule import Schedule
from bot.telegram.updates import Arrived, Kind, address_of
from conversations.session.events import Heard, Reply
from conversations.session.state import State

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
ADA, BEN, EVE = 11, 12, 99
NAMES = {ADA: "Ada", BEN: "Ben", EVE: "Eve"}
GROUP = -500


class _Media:
    def __init__(self, kitchen: Kitchen) -> None:
        self._kitchen = kitchen

    async def photo(self, arrived: Arrived, diary: str, now: datetime) -> str | Reply:
        return self._kitchen.refused or keep_sent(self._kitchen.store.path, diary, self._kitchen.picture, now)

    async def words(self, arrived: Arrived, state: State, now: datetime, keep_in: str) -> Heard | Reply:
        found = self._kitchen.words
        if keep_in and isinstance(found, Heard):
            path = keep_sent(self._kitchen.store.path, keep_in, self._kitchen.sound, now)
            return found.model_copy(update={"recording": path})
        return found


class Kitchen:
    """Ada is the owner. Everything of `potside serve` but polling and sending."""

    def __init__(self, data: Path, step: Step | None = None, paired: bool = True) -> None:
        self.clock = SimulatedClock(NOW)
        self.store = Store.open(data)
        self.access, self.places = Access(self.store), Places(self.store)
        self.buttons, self.inbox = Buttons(self.store), Inbox(self.store, "77")
        self.engine = Engine(self.store, self.clock, lambda chat, reply, at: None, step)
        self.household = Household(self.access, self.places)
        self.household.username = "potbot"
        self.answered: list[str] = []
        self.picture = b"\xff\xd8picture"
        self.sound = b"OggS sound"
        self.refused: Reply | None = None
        self.words: Heard | Reply = Heard(text="gravity 1.050")
        self.woken: list[str] = []
        self.desk = Desk(
            self.engine, self.inbox, self.access, self.places, self.household, self.buttons,
            _Media(self), self, self.clock, self._background, self._erase,
        )  # fmt: skip
        self.schedule = Schedule(self.engine, self.places, self.clock, lambda *to: self.woken.extend(to))
        self._update = 1000
        if paired:
            self.access.pair(ADA, "Ada", self.access.pairing_code() or "", NOW)

    def _background(self, work: Coroutine[Any, Any, None]) -> None:
        try:
            work.send(None)
        except StopIteration:
            return

    def _erase(self, diary: str, person: Person) -> None:
        erase(self.store, diary, person.id, person.name)

    async def answer_button(self, query: str, text: str) -> None:
        self.answered.append(text)

    async def without_buttons(self, chat: int, message: int) -> None:
        return

    def arrived(self, kind: Kind = "text", who: int = ADA, chat: int | None = None, **fields: Any) -> Arrived:
        self._update += 1
        fields.setdefault("message", self._update)
        fields.setdefault("update", self._update)
        fields.setdefault("at", self.clock.now())
        return Arrived(kind=kind, chat=chat or who, person=who, name=NAMES[who], **fields)

    async def take(self, arrived: Arrived) -> list[Reply]:
        """Handle one thing; returns what it leaves in the outbox, for whichever chat."""
        before = self.last_reply()
        self.inbox.take([arrived], self.clock.now())
        await self.desk.handle(arrived)
        return [reply for number, _, reply in self.outbox() if number > before]

    async def say(self, text: str, who: int = ADA, chat: int | None = None, **fields: Any) -> str:
        """Send a text and return the words that come back."""
        return "\n".join(reply.text for reply in await self.take(self.arrived("text", who, chat, text=text, **fields)))

    async def press(self, row: int, number: int, who: int = ADA, chat: int | None = None) -> str:
        """Press a button under a reply of the outbox."""
        data = self.buttons.data(row, number, address_of(chat or who))
        return await self.press_raw(data, who, chat)

    async def press_raw(self, data: str, who: int = ADA, chat: int | None = None) -> str:
        found = await self.take(self.arrived("button", who, chat, text=data, query="q"))
        return "\n".join(reply.text for reply in found)

    def outbox(self) -> list[tuple[int, str, Reply]]:
        rows = self.store.rows("SELECT id, address, reply FROM outbox ORDER BY id")
        return [(number, address, Reply.model_validate_json(reply)) for number, address, reply in rows]

    def last_reply(self) -> int:
        return max((number for number, _, _ in self.outbox()), default=0)

    def row_with(self, label: str) -> tuple[int, int]:
        """The newest reply that offers a choice, and the choice's number."""
        for row, _, reply in reversed(self.outbox()):
            for number, choice in enumerate(reply.choices):
                if choice.label == label:
                    return row, number
        raise LookupError(label)

    def state(self, who: int = ADA) -> State:
        return self.store.state(address_of(who))

    def later(self, **by: float) -> None:
        self.clock.move_to(self.clock.now() + timedelta(**by))

    def gravities(self, who: int = ADA) -> list[float]:
        return [round(each.value.value, 3) for batch in self.state(who).batches for each in batch.readings]
