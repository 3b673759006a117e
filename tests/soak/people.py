"""Invented people who brew for weeks: what each of them writes on each day, from a seed."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import cache
from typing import NamedTuple
from zoneinfo import ZoneInfo

from conversations.understanding.understand import list_intents

ZONES = (
    # Both directions within one autumn: clocks go forward in the south, back in the north, by half an hour on one island.
    "Europe/Lisbon", "Australia/Sydney", "America/New_York", "Australia/Lord_Howe", "Asia/Kolkata",
    "Pacific/Auckland", "Europe/London", "America/Santiago",
)  # fmt: skip
MARKS = (
    "avocet", "bittern", "curlew", "dunlin", "egret", "fulmar", "gannet", "hoopoe", "ibis", "jackdaw", "kestrel",
    "lapwing", "merlin", "nuthatch", "osprey", "plover", "quail", "redstart", "siskin", "turnstone", "umbrette",
    "vireo", "whimbrel", "yaffle", "zitting",
)  # fmt: skip
"""A word for each person that only that person ever writes, so that a word in another chat is a leak."""


class Said(NamedTuple):
    """One message and the true time at which it is written."""

    at: datetime
    text: str


@cache
def every_example() -> tuple[str, ...]:
    """One sentence for each thing that can be understood."""
    return tuple(example for _, example in list_intents())


class Person:
    """Somebody with a kitchen, a zone and a habit of writing."""

    def __init__(self, number: int, seed: int) -> None:
        self.chat = f"chat:{number}"
        self.mark = MARKS[number]
        self.zone = ZoneInfo(ZONES[number % len(ZONES)])
        self._chance = random.Random(f"{seed}:{number}")
        self._notes = 0
        self._brew_day = self._chance.randrange(3)

    def day(self, start: datetime, number: int) -> list[Said]:
        """What is written on day ``number``, which begins at ``start``, in order."""
        lines = list(self._brewing() if number >= self._brew_day else self._asking())
        if number >= self._brew_day:
            self._brew_day = number + self._chance.randrange(10, 16)
        lines += list(self._asking())
        at = start + timedelta(minutes=self._chance.uniform(0, 900))
        said = []
        for line in lines:
            at += timedelta(minutes=self._chance.choice((0.1, 1, 3, 10, 25)))
            said.append(Said(at, line))
        return said

    def _brewing(self) -> Iterator[str]:
        c = self._chance
        volume, gravity = c.uniform(4, 20), c.uniform(1.035, 1.065)
        yield f"brew {volume:.0f} litres of {self.mark} ale"
        yield f"{volume * 0.19:.1f} kg pale malt"
        yield f"{volume * 1.5:.0f} g Fuggle 5% at 60"
        yield f"{volume:.0f} g Goldings at flame-out"
        for line in (
            "next", "next", "45 degrees", "grain is in", f"{c.uniform(64, 69):.1f} C", "stirred", "how long left",
            "bag out", f"gravity {gravity - 0.006:.3f} at {c.uniform(20, 45):.0f} C", f"{volume * 1.2:.1f} litres",
            "next", "it's boiling", "hops in", "what's next", "undo", "hops in", "why?", "flame out", "hops in",
            "next", "48 degrees", "chilled", f"{volume:.1f} l, gravity {gravity:.3f} at 21 C", "no, 1.050",
            "transferred", "how much yeast", "yeast is in",
        ):  # fmt: skip
            if c.random() < 0.93:
                yield line

    def _asking(self) -> Iterator[str]:
        c = self._chance
        for _ in range(c.randrange(2, 7)):
            self._notes += 1
            yield c.choice(
                (
                    f"note: {self.mark} {self._notes}",
                    f"remind me in {c.randrange(1, 40)} hours to look at {self.mark} {self._notes}",
                    f"remind me tomorrow at {c.randrange(1, 23)} to feed {self.mark} {self._notes}",
                    f"timer {c.randrange(1, 90)} minutes",
                    f"gravity {c.uniform(1.006, 1.05):.3f} at 20 C",
                    f"{c.uniform(17, 23):.1f} degrees",
                    "undo",
                    "diary",
                    "what's next",
                    "in 5 minutes",
                    "yes",
                    "no",
                    c.choice(every_example()),
                    "".join(c.choice("abc 1.,°é\n<&%\u202e🍺") for _ in range(c.randrange(40))),
                )
            )
