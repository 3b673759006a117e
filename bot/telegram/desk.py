"""What is done with each thing that arrived: turned away, answered about people, or given to the session."""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Coroutine
from datetime import datetime, timedelta
from typing import Any, Protocol

from bot.clock import Clock
from bot.engine import Engine
from bot.store import Incoming, Store
from bot.telegram import menu
from bot.telegram.access import Access, Person, plain_code
from bot.telegram.buttons import Buttons, Pressed
from bot.telegram.household import ERASE, NEUTRAL, WELCOME, Household, Said, payload
from bot.telegram.inbox import Inbox
from bot.telegram.one_batch import Guest, seen
from bot.telegram.places import Place, Places
from bot.telegram.updates import Arrived, address_of
from conversations.session.events import Heard, Reply
from conversations.session.state import State
from conversations.session.step import context_of
from conversations.understanding.beyond_sentences import read

LATE = timedelta(minutes=1)
STILL_NOW = timedelta(minutes=15)
"""A message that is changed within this time is read as if it were said now; later, only its readings are mended."""
OLDEST = timedelta(days=2)
"""A message that waited longer than the service keeps one has a wrong date."""
NOT_SAVED = "That was not saved: something went wrong on my side.\nPlease send it again."
BESIDE = "I cannot open that file and did not keep it. What you wrote beside it:"
UNREADABLE = 'I can read text, photos and voice notes, not this. Nothing was recorded. Try "gravity 1.050 at 25 C".'
LOCATION = "Thanks, but I do not need to know where you are. Nothing was kept."

OF_THE_PERSON = frozenset(["settings.speech", "settings.recordings", "ask.recordings", "settings.quiet", "ask.quiet"])
"""Whose phone rings and speaks when is for each to say: for the own chat, also while working in another diary."""

_log = logging.getLogger(__name__)
Background = Callable[[Coroutine[Any, Any, None]], None]


class Outside(Protocol):
    """What the desk asks of the messenger, beside the outbox."""

    async def answer_button(self, query: str, text: str) -> None:
        """Close the waiting mark on a button, with a line or without."""
        ...

    async def without_buttons(self, chat: int, message: int) -> None:
        """Take the buttons from a message."""
        ...


class Files(Protocol):
    """What the desk asks for where a message brings a file."""

    async def photo(self, arrived: Arrived, diary: str, now: datetime) -> str | Reply:
        """Where the photo was kept, or the line that says why not."""
        ...

    async def words(self, arrived: Arrived, state: State, now: datetime, keep_in: str) -> Heard | Reply:
        """The message that a voice note stands for, or the line that says why not; its sound stays in a diary if one is named."""
        ...


class Desk:
    """Handles what arrived, one at a time for each chat. Its effects and the mark that it is done commit together."""

    def __init__(
        self,
        engine: Engine,
        inbox: Inbox,
        access: Access,
        places: Places,
        household: Household,
        buttons: Buttons,
        media: Files,
        outside: Outside,
        clock: Clock,
        background: Background,
        erase: Callable[[str, Person], None],
    ) -> None:
        """``background`` starts what need not be waited for; ``erase`` erases a diary for good."""
        self._engine = engine
        self._store: Store = engine.store
        self._inbox = inbox
        self._access = access
        self._places = places
        self._household = household
        self._buttons = buttons
        self._media = media
        self._outside = outside
        self._clock = clock
        self._background = background
        self._erase = erase

    async def handle(self, arrived: Arrived) -> tuple[str, ...]:
        """Do what a message asks; returns the chats that have something to be sent now."""
        source = self._inbox.source_id(arrived)
        if self._store.handled(source):
            return ()
        try:
            return await self._handle(arrived, source)
        # One faulty message must not stop the bot: it is closed, the person is told, the owner gets it in a digest.
        except Exception as fault:
            _log.exception("a message could not be handled", extra={"kind": arrived.kind})
            known = self._access.person(arrived.person) is not None
            with self._store.transaction():
                if self._store.finish(source, arrived.address, repr(fault)) is not None and known:
                    self._queue(arrived, [Reply(text=NOT_SAVED)], arrived.address)
            return (arrived.address,)

    async def _handle(self, arrived: Arrived, source: str) -> tuple[str, ...]:
        person = self._access.person(arrived.person)
        if arrived.kind == "moved":
            self._places.moved(arrived.address, address_of(arrived.moved_to))
            return self._close(source, arrived, [])
        if arrived.kind == "left":
            self._places.stop(arrived.address)
            return self._close(source, arrived, [])
        if arrived.kind == "joined":
            return self._close(source, arrived, [])
        if person is None or self._may_be_code(arrived):
            return self._stranger(arrived, source)
        title = arrived.title if arrived.group else person.name
        place = self._places.visit(arrived.address, title)
        if not self._places.may_work(place, person.id):
            self._places.work_in(place.address, place.address)
            place = self._places.visit(arrived.address, title)
        if arrived.kind == "button":
            return await self._button(arrived, source, person, place)
        if arrived.kind == "text":
            return self._text(arrived, source, person, place, arrived.text)
        if arrived.kind in ("photo", "voice"):
            return await self._file(arrived, source, person, place)
        if arrived.kind == "other" and arrived.text.strip():
            return self._caption_alone(arrived, source, person, place, Reply(text=BESIDE))
        return self._close(source, arrived, [Reply(text=LOCATION if arrived.kind == "location" else UNREADABLE)])

    def _may_be_code(self, arrived: Arrived) -> bool:
        """Whether somebody who may talk sends the pairing code, after the owner was put aside on the console."""
        said = plain_code(payload(arrived.text.strip()) or arrived.text) if arrived.kind == "text" else ""
        code = self._access.pairing_code() if len(said) == 8 and not arrived.group else None
        return code is not None and said == plain_code(code)

    def _stranger(self, arrived: Arrived, source: str) -> tuple[str, ...]:
        """Somebody who may not talk: pairing and invitations first, else one neutral line, then nothing."""
        now = self._clock.now()
        text, private = arrived.text.strip(), not arrived.group and arrived.kind != "button"
        token = payload(text)
        with self._store.transaction():
            if arrived.kind == "text" and private and not arrived.edited:
                if self._access.pair(arrived.person, arrived.name, text if token is None else token, now):
                    self._places.visit(arrived.address, arrived.name)
                    return self._close(source, arrived, [Reply(text=WELCOME)])
                link = self._access.use_link(token, arrived.person, arrived.name, now) if token else None
                if link is not None:
                    here = self._places.visit(arrived.address, arrived.name)
                    replies = self._household.opened(here, arrived.name, link, now)
                    return self._close(source, arrived, replies)
            place = self._places.find(arrived.address)
            first = self._access.stranger(arrived.person) and not (place and place.stopped)
            if self._access.owner() is None and private and first:
                line = "This assistant is private. Its owner sends the pairing code from the console."
                return self._close(source, arrived, [Reply(text=line)])
            return self._close(source, arrived, [Reply(text=NEUTRAL)] if first and private else [])

    def _close(self, source: str, arrived: Arrived, replies: list[Reply], diary: str = "") -> tuple[str, ...]:
        """Mark as handled and queue the replies in one transaction."""
        diary = diary or arrived.address
        with self._store.transaction():
            number = self._store.finish(source, diary)
            if number is None or not replies:
                return ()
            self._queue(arrived, replies, diary, number)
        return (arrived.address,)

    def _queue(self, arrived: Arrived, replies: list[Reply], diary: str, number: int | None = None) -> None:
        told = Incoming("", diary, Heard(text=""), self._clock.now(), to=(arrived.address,))
        self._store.queue(told, replies, number)

    def _text(
        self, arrived: Arrived, source: str, person: Person, place: Place, text: str, photo: str = ""
    ) -> tuple[str, ...]:
        now = self._clock.now()
        token = payload(text)
        said = Said(person, place, text, now)
        with self._store.transaction():
            replies = self._household.start(said, token) if token else self._household.answer(said)
            if replies is not None:
                return self._close(source, arrived, replies, self._places.visit(place.address, place.title).diary)
        words = menu.as_words(text, self._household.username)
        heard = Heard(text=words, who=person.name or "me", photo=photo)
        if arrived.edited:
            heard = self._corrected(heard, arrived, place.diary, now)
        return self._session(arrived, source, place, heard, now)

    def _session(self, arrived: Arrived, source: str, place: Place, heard: Heard, now: datetime) -> tuple[str, ...]:
        diary = place.address if self._of_the_person(heard, place, now) else place.diary
        at = self._when(arrived, diary, now)
        incoming = Incoming(source, diary, heard, at, to=(place.address,))
        if place.batch is None or diary == place.address:
            self._engine.process(incoming)
            return (place.address,)
        guest = Guest(place.batch, self._places.talk(place.address), self._buttons.undoes_own(diary, place.address))
        with self._store.transaction():
            self._engine.process(incoming, step=guest)
            self._places.keep_talk(place.address, guest.talk)
        return (place.address,)

    def _state(self, place: Place) -> State:
        """What a chat may know of the diary that it works in."""
        state = self._store.state(place.diary)
        if place.batch is None:
            return state
        return seen(state, place.batch, self._places.talk(place.address)) or State()

    def _of_the_person(self, heard: Heard, place: Place, now: datetime) -> bool:
        if place.diary == place.address or not heard.text or heard.photo:
            return False
        said = {each.name for each in read(heard.text, context_of(self._store.state(place.diary), now)).intents}
        # "be quiet" to a voice is about the voice, and about the nudges of the diary otherwise.
        speaks = self._store.state(place.address).speech != "off"
        return bool(said) and said <= (OF_THE_PERSON | {"nudges.off"} if speaks else OF_THE_PERSON)

    def _corrected(self, heard: Heard, arrived: Arrived, diary: str, now: datetime) -> Heard:
        """A changed message, with what its earlier versions recorded."""
        earlier = self._inbox.earlier(arrived)
        if not earlier:
            return heard
        marks = ",".join("?" * len(earlier))
        recorded = self._store.rows(
            f"SELECT kind, at, data FROM events WHERE chat = ? AND message IN ({marks}) ORDER BY id", diary, *earlier
        )
        ids = tuple(json.loads(data)["reading"]["id"] for kind, _, data in recorded if kind == "reading")
        opened = [datetime.fromisoformat(at) for kind, at, _ in recorded if kind == "opened"]
        newest = self._buttons.undoes(diary) in earlier and bool(opened) and now - opened[-1] < STILL_NOW
        return heard.model_copy(update={"corrects": ids, "takes_back": newest})

    def _when(self, arrived: Arrived, diary: str, now: datetime) -> datetime:
        """When it was said: the time of sending where the message waited for us, never before what came earlier."""
        sent = arrived.at.astimezone(now.tzinfo)
        if arrived.edited or arrived.kind == "button" or not LATE < now - sent < OLDEST:
            return now
        latest = self._store.state(diary).clock
        return min(now, max(sent, latest)) if latest is not None else sent

    async def _button(self, arrived: Arrived, source: str, person: Person, place: Place) -> tuple[str, ...]:
        pressed = self._buttons.read(arrived.text, arrived.address, place.diary, place.batch is not None)
        if not isinstance(pressed, Pressed):
            self._background(self._outside.answer_button(arrived.query, pressed))
            return self._close(source, arrived, [])
        self._background(self._outside.answer_button(arrived.query, ""))
        if pressed.posted is not None:
            self._background(self._outside.without_buttons(arrived.chat, pressed.posted))
        if pressed.says == ERASE and not arrived.group:
            # Only this button erases: the words alone, typed or heard, ask first.
            self._erase(place.address, person)
            told = [Reply(text="Your diary, photos and name are erased, in the backups too.")]
            woken = self._close(source, arrived, told)
            self._store.fold_log()
            return woken
        with self._store.transaction():
            self._buttons.use(pressed.row)
            return self._text(arrived, source, person, place, pressed.says)

    async def _file(self, arrived: Arrived, source: str, person: Person, place: Place) -> tuple[str, ...]:
        if arrived.edited and arrived.kind == "photo":
            return self._text(arrived, source, person, place, arrived.text)
        if arrived.kind == "voice":
            now = self._clock.now()
            keep_in = place.diary if self._store.state(place.address).keeps_recordings else ""
            found = await self._media.words(arrived, self._state(place), now, keep_in)
            if isinstance(found, Reply):
                return self._close(source, arrived, [found], place.diary)
            return self._session(arrived, source, place, found.model_copy(update={"who": person.name or "me"}), now)
        kept = await self._media.photo(arrived, place.diary, self._clock.now())
        if isinstance(kept, Reply):
            return self._caption_alone(arrived, source, person, place, kept)
        return self._text(arrived, source, person, place, arrived.text, photo=kept)

    def _caption_alone(self, arrived: Arrived, source: str, person: Person, place: Place, told: Reply) -> tuple[str, ...]:
        """What came along could not be kept; the words beside it are read all the same."""
        if not arrived.text.strip():
            return self._close(source, arrived, [told], place.diary)
        with self._store.transaction():
            self._queue(arrived, [told], place.diary)
            return self._text(arrived, source, person, place, arrived.text)
