"""How fast may be sent: in all, to one chat, to one group; and who has to wait because the service said so.

A generic cell rate: each limit allows a small burst and then one message each interval. Times are seconds of a
clock that only runs forward, given by the caller, so that this can be tested without waiting.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass
class Rate:
    """``burst`` messages at once, then one each ``interval`` seconds; an interval of 0 is no limit."""

    interval: float
    burst: int
    _full_at: dict[str, float] = field(default_factory=dict)

    def ready(self, key: str, now: float) -> float:
        """The time from which a message may go."""
        return max(now, self._full_at.get(key, now) - self.interval * (self.burst - 1))

    def take(self, key: str, at: float) -> None:
        """Count a message that goes at a time."""
        if self.interval:
            self._full_at[key] = max(at, self._full_at.get(key, at)) + self.interval
        if len(self._full_at) > 5000:
            self._full_at = {each: full for each, full in self._full_at.items() if full > at}


class Limits:
    """The limits of the service together. ``per_second`` in all and ``per_chat`` a second, ``per_group`` a minute."""

    def __init__(self, per_second: float, per_chat: float, per_group: float) -> None:
        """0 stands for no limit."""
        self._all = Rate(1 / per_second if per_second else 0.0, 5)
        self._chat = Rate(1 / per_chat if per_chat else 0.0, 3)
        self._group = Rate(60 / per_group if per_group else 0.0, 4)
        self._held: dict[int, float] = {}
        self._all_held = 0.0

    def wait_for_chat(self, chat: int, now: float) -> float:
        """Seconds until this chat may get a message."""
        rate = self._group if chat < 0 else self._chat
        return max(rate.ready(str(chat), now), self._held.get(chat, now)) - now

    def wait_for_all(self, now: float) -> float:
        """Seconds until anything may be sent."""
        return max(self._all.ready("", now), self._all_held) - now

    def sent(self, chat: int, now: float) -> None:
        """Count a message to a chat."""
        (self._group if chat < 0 else self._chat).take(str(chat), now)
        self._all.take("", now)

    def told_to_wait(self, chat: int, seconds: float, now: float) -> None:
        """The service refused a message for some seconds: that chat waits; where two are told, all wait."""
        self._held = {each: until for each, until in self._held.items() if until > now}
        if any(each != chat for each in self._held):
            self._all_held = max(self._all_held, now + seconds)
        self._held[chat] = max(self._held.get(chat, 0.0), now + seconds)
