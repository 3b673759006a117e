"""`potside ask`: one message answered without a session, for people in a hurry and for other programs."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO

from bot.clock import Clock
from bot.store import Store
from bot.terminal import CHAT
from conversations.intents import Understanding, UnitSystem
from conversations.session.events import Reply
from conversations.session.fold import EMPTY
from conversations.session.state import State

_log = logging.getLogger(__name__)


def read_time(text: str, clock: Clock) -> datetime:
    """An ISO 8601 time; without an offset it is in the zone of the clock. Raises ValueError."""
    when = datetime.fromisoformat(text)
    return when if when.tzinfo else when.replace(tzinfo=clock.now().tzinfo)


def state_for(data: Path | None, units: UnitSystem | None, now: datetime) -> State:
    """The state to answer from: the data file's, which is left alone, or an empty one in the zone of now."""
    state = EMPTY.model_copy(update={"zone": getattr(now.tzinfo, "key", "UTC")})
    if data is not None:
        store = Store.open(data, read_only=True)
        state = store.state(CHAT)
        store.close()
    return state if units is None else state.model_copy(update={"units": units})


def as_object(understanding: Understanding, replies: Iterable[Reply]) -> dict[str, Any]:
    """What `--json` prints of one message; units are pint names."""
    replies = tuple(replies)
    return {
        "text": understanding.text,
        "quantities": [{"text": s.text, "value": s.value, "unit": s.unit} for s in understanding.quantities],
        "understood": [
            {"intent": intent.name, "slots": intent.model_dump(mode="json")["slots"]}
            for intent in understanding.intents
        ],
        "reply": "\n".join(reply.text for reply in replies),
        "spoken": " ".join(reply.spoken or reply.text.replace("\n", " ") for reply in replies),
    }


def ask(texts: Iterable[str], state: State, now: datetime, as_json: bool, out: TextIO) -> int:
    """Answer each text on its own; returns 1 where one of them could not be answered, else 0."""
    from conversations.session.answer import answer_once

    code = 0
    for text in texts:
        try:
            understanding, replies = answer_once(text, state, now)
        # One faulty line must not end a long list of them.
        except Exception:
            _log.exception("ask")
            code = 1
            understanding = Understanding(text=text)
            replies = (Reply(text="Something went wrong on my side. Please say it in other words."),)
        found = as_object(understanding, replies)
        print(json.dumps(found, ensure_ascii=False) if as_json else found["reply"], file=out, flush=True)
    return code


def list_intents(out: TextIO) -> int:
    """Print every intent with one example."""
    from conversations.understanding.understand import list_intents as intents

    for name, example in intents():
        print(f"{name:24} {example}", file=out)
    return 0


def lines_of(stream: TextIO) -> Iterator[str]:
    """The lines of a stream as they come, without their ends."""
    for line in iter(stream.readline, ""):
        yield line.rstrip("\r\n")
