"""What is attacked: how an input is made from a seeded generator, and what must hold when it is read."""

from __future__ import annotations

import hmac
import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from random import Random
from typing import Any

from bot.export.restore import CannotRestore, read_bytes, state_of
from bot.store import Incoming, Store
from bot.telegram.buttons import Buttons, Pressed
from conversations.intents import Context, Understanding
from conversations.recipe.reader import TooLong, read_recipe
from conversations.session.events import Choice, Due, Heard, Reply
from conversations.session.fold import EMPTY, fold
from conversations.session.stages import stages
from conversations.session.state import State
from conversations.session.step import step
from conversations.understanding.answers import find_answer
from conversations.understanding.understand import understand
from tests.fuzz import files, messages

NOW = datetime(2026, 10, 24, 23, 30, tzinfo=UTC)


@dataclass(frozen=True)
class Target:
    """``make`` builds an input, ``read`` reads it and raises where something does not hold."""

    make: Callable[[Random], Any]
    read: Callable[[Any], None]
    limit: float = 4.0
    """Works that one input may take (see pace.py). A session does what it reads: forty orders in one message are forty."""
    longer: Callable[[Any], float] = lambda made: 1.0
    """How many times as long an input is as one that the limit is for."""


def _situation(random: Random) -> Context:
    return Context(
        now=NOW,
        zone=random.choice(("UTC", "Europe/Lisbon", "Australia/Lord_Howe")),
        units=random.choice(("metric", "imperial", "us")),
        stage=random.choice((None, *stages())),
        expects=random.choice((None, None, "yes_no", "reading.gravity", "reading.volume", "reminder.when", "batch.switch")),
        names=random.choice(((), ("Fuggle", "lentils"))),
    )


def _read_message(made: tuple[str, Context]) -> None:
    text, situation = made
    found = understand(text, situation)
    for span in found.quantities:
        assert text[span.start : span.end] == span.text
    encodable = text.encode("utf-8", "replace").decode()
    if encodable == text:
        assert Understanding.model_validate_json(found.model_dump_json()).unread == found.unread
    find_answer(text)


def _read_recipe(made: tuple[str, Any]) -> None:
    try:
        found = read_recipe(*made)
    except TooLong:
        return
    assert all(grain.mass is None or grain.mass.value >= 0 for grain in found.grains)
    assert all(hop.mass is None or hop.mass.value >= 0 for hop in found.hops)


@cache
def _states() -> tuple[State, ...]:
    found = [EMPTY]
    for data, _ in files.diaries():
        found.append(state_of(read_bytes(data)))
    return tuple(found)


def _step(made: tuple[str, State]) -> None:
    text, state = made
    out = step(state, Heard(text=text), max(NOW, state.clock or NOW))
    assert out.replies
    assert fold(state, out.events) == out.state
    json.dumps([event.model_dump(mode="json") for event in out.events], allow_nan=False).encode()
    out.state.model_dump_json()


@cache
def _buttons() -> tuple[Store, Buttons, tuple[str, ...]]:
    """A store with two chats and three replies, and the signed data of all their buttons."""
    store = Store.in_memory()
    buttons = Buttons(store)
    real = []
    for number, chat in enumerate(("telegram:11", "telegram:12", "telegram:11")):
        reply = Reply(text="?", choices=(Choice(label="yes", says="yes"), Choice(label="undo", says="undo")))
        incoming = Incoming(f"x:{number}", chat, Heard(text="x"), NOW, to=(chat,))
        store.take(incoming.source_id, chat, incoming.message, NOW)
        store.queue(incoming, (reply,), number + 1)
        row = store.rows("SELECT MAX(id) FROM outbox")[0][0]
        real += [buttons.data(row, each, chat) for each in range(2)]
    return store, buttons, tuple(real)


def _button(random: Random) -> tuple[str, str]:
    data = random.choice(_buttons()[2])
    parts = data.split(".")
    kind = random.randrange(6)
    if kind == 0:
        data = messages.message(random, 64)
    elif kind == 1:
        parts[random.randrange(3)] = random.choice(("", "-1", "0", "1", "ff", "_", "1_0", "٣", "9" * 40, "é", "\ud800", "0x1", "+1", " 1"))
        data = ".".join(parts)
    elif kind == 2:
        data = ".".join(random.choice(_buttons()[2]).split(".")[k] for k in range(3))
    elif kind == 3:
        place = random.randrange(len(data))
        data = data[:place] + chr(random.randrange(1, 0x250)) + data[place + 1 :]
    return data[:64], random.choice(("telegram:11", "telegram:12", "telegram:13", ""))


def _press(made: tuple[str, str]) -> None:
    data, address = made
    _, buttons, real = _buttons()
    found = buttons.read(data, address, address)
    if isinstance(found, Pressed):
        # Only what was signed for this very chat holds, in whichever way its two numbers are written.
        row, number, signature = data.split(".")
        own = buttons.data(int(row, 16), int(number), address)
        assert own in real
        assert hmac.compare_digest(own.rpartition(".")[2], signature)
    else:
        assert found.endswith((".", "first."))


_AFTER_IMPORT = ("what's next", "diary", "undo", "gravity 1.050 at 25 C", "how long left", "batches", "next", "stock", "12 g Fuggle 5% at 60")


def _is_sentence(said: str) -> None:
    assert said.endswith(".")
    assert len(said) < 400


def _import(data: bytes) -> None:
    try:
        found = read_bytes(data)
        state = state_of(found)
    except CannotRestore as refused:
        return _is_sentence(str(refused))
    # What was taken must be good to work with: whatever is said next, and whatever falls due.
    pick = len(data) % len(_AFTER_IMPORT)
    now = max(NOW, state.clock or NOW)
    out = step(state, Heard(text=_AFTER_IMPORT[pick]), now)
    json.dumps([event.model_dump(mode="json") for event in out.events], allow_nan=False)
    for key in list(state.reminders)[:1]:
        step(state, Due(key=key), now)
    return None


def _listen(data: bytes) -> None:
    from bot.speech.audio import decode
    from bot.speech.port import SpeechError

    try:
        found = decode(data)
    except SpeechError as refused:
        return _is_sentence(str(refused))
    assert found.dtype == "float32"
    assert len(found) <= 61 * 16_000
    return None


TARGETS = {
    "understanding": Target(lambda random: (messages.message(random), _situation(random)), _read_message),
    "recipe": Target(lambda random: (messages.recipe(random), random.choice(("metric", "imperial", "us"))), _read_recipe, 2.0, lambda made: max(1.0, len(made[0]) / messages.LONGEST_RECIPE)),
    "session": Target(lambda random: (messages.message(random), random.choice(_states())), _step, 10.0),
    "buttons": Target(_button, _press),
    "import": Target(files.diary, _import),
    "audio": Target(files.sound, _listen),
}
