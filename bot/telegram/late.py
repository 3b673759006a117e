"""Replies that could not leave for a while: they say for when they were meant, and many become one message."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.store import Unsent
from conversations.session.events import Reply

LATE = timedelta(minutes=2)


def is_late(unsent: Unsent, now: datetime) -> bool:
    """Whether a reply is older than a person would expect."""
    return now - unsent.at > LATE


def with_time(unsent: Unsent, now: datetime) -> Unsent:
    """The reply, which says for when it was meant where that is a while ago."""
    if not is_late(unsent, now) or not unsent.reply.text or unsent.pieces:
        return unsent
    meant = f"meant for {_clock(unsent.at, now)}"
    text = f"({meant}) {unsent.reply.text}"
    spoken = f"{meant.capitalize()}. {unsent.reply.spoken}" if unsent.reply.spoken else ""
    return unsent._replace(reply=unsent.reply.model_copy(update={"text": text, "spoken": spoken}))


def together(waiting: list[Unsent], now: datetime) -> tuple[list[Unsent], Reply] | None:
    """The late ones at the head of a queue and the one reply that stands for them; None for fewer than two.

    What has files with it, or is half sent already, goes alone.
    """
    late: list[Unsent] = []
    for unsent in waiting:
        if not is_late(unsent, now) or unsent.pieces or unsent.reply.attachments or not unsent.reply.text:
            break
        late.append(unsent)
    if len(late) < 2:
        return None
    head = f"I could not reach you: {len(late)} messages waited. The last one says where we are."
    lines = [f"{_clock(unsent.at, now)} {unsent.reply.text}" for unsent in late]
    # The buttons of the last one: of the others something newer stands below them anyway.
    last = late[-1].reply
    return late, Reply(text="\n\n".join([head, *lines]), spoken=f"{head} {last.spoken}".strip(), choices=last.choices)


def _clock(at: datetime, now: datetime) -> str:
    local = at.astimezone(now.tzinfo)
    return f"{local:%H:%M}" if local.date() == now.date() else f"{local:%A %H:%M}"
