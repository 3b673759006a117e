"""Which events still stand: the diary keeps everything, and an undo takes back what came since a message."""

from __future__ import annotations

from collections.abc import Iterable

from conversations.session.events import Event
from conversations.session.fold import UNDO_DEPTH

_STANDS = frozenset({"heard", "fired"})
"""What an undo does not take back: it was said, or it was called out."""


def kept(events: Iterable[Event]) -> list[Event]:
    """The events that no undo has taken back, in order; folding them gives the same batches as folding all."""
    standing: list[Event] = []
    opened: list[int] = []
    for event in events:
        if event.kind == "opened":
            opened = [*opened, len(standing)][-UNDO_DEPTH:]
        elif event.kind == "undone" and opened:
            start = opened.pop()
            standing[start:] = [each for each in standing[start:] if each.kind in _STANDS]
        if event.kind != "undone":
            standing.append(event)
    return standing
