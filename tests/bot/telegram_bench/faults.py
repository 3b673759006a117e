"""What can go wrong between the bot and the platform, each as the proxy does it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "retry_after",  # 429 with the seconds to wait
    "html",  # a 5xx page of a front server instead of JSON
    "refused",  # an error as the platform words it, with its status
    "drop_before",  # connection closed, the platform never saw the call
    "drop_after",  # the platform did it, the answer never came
    "half_closed",  # the platform did it, half an answer came
    "slow",  # the platform did it, the answer comes late
    "bad_json",  # the platform did it, the answer is cut-off JSON with status 200
    "duplicate",  # getUpdates: every update twice, and the last confirmed ones again
    "reorder",  # getUpdates: in reverse
]
DONE_UPSTREAM = frozenset({"drop_after", "half_closed", "slow", "bad_json", "duplicate", "reorder"})
"""Kinds after which the platform has done what it was asked, whatever the bot heard."""
UNANSWERED = frozenset({"drop_after", "half_closed", "bad_json"})
"""Kinds after which the bot cannot know that it was done, so that it may rightly do it again."""


@dataclass
class Fault:
    """One planned fault: the next ``times`` calls of ``method`` after ``skip`` others, in ``chat`` if given."""

    kind: Kind
    method: str
    skip: int = 0
    times: int = 1
    chat: int | None = None
    seconds: float = 1.0
    status: int = 502
    description: str = "Internal Server Error"

    def strikes(self, method: str, chat: int | None) -> bool:
        """Whether this call is struck; counts down."""
        if self.times <= 0 or method != self.method or (self.chat is not None and chat != self.chat):
            return False
        if self.skip > 0:
            self.skip -= 1
            return False
        self.times -= 1
        return True
