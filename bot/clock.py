"""The one place that knows the time; everything below it is told."""

from __future__ import annotations

import os
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import Protocol
from zoneinfo import ZoneInfo


class Clock(Protocol):
    """Something that tells the time with its zone."""

    def now(self) -> datetime:
        """The present time; never without a zone."""
        ...


def local_zone() -> tzinfo:
    """The zone of this machine, by name where that can be found (it knows summer time), else by offset."""
    names = [os.environ.get("TZ", "").removeprefix(":")]
    try:
        names.append(str(Path("/etc/localtime").resolve()).rpartition("zoneinfo/")[2])
        names.append(Path("/etc/timezone").read_text(encoding="ascii").strip())
    except (OSError, UnicodeError):
        pass
    for name in names:
        if name and not name.startswith("/"):
            try:
                return ZoneInfo(name)
            except (OSError, ValueError, KeyError):
                continue
    return datetime.now(UTC).astimezone().tzinfo or UTC


class SystemClock:
    """The clock of this machine, in its own zone."""

    def __init__(self, zone: tzinfo | None = None) -> None:
        """Use ``zone`` instead of the machine's where given."""
        self._zone = zone or local_zone()

    def now(self) -> datetime:
        """The present time."""
        return datetime.now(UTC).astimezone(self._zone)


class SimulatedClock:
    """A clock that stands still until it is moved, for rehearsals and tests."""

    def __init__(self, start: datetime) -> None:
        """Stand at ``start``, which must have a zone; times are told in that zone."""
        if start.tzinfo is None:
            raise ValueError("start must have a zone")
        self._now = start

    def now(self) -> datetime:
        """Where the clock stands."""
        return self._now

    def move_to(self, when: datetime) -> None:
        """Put the clock at ``when``, told in the zone of the start."""
        self._now = when.astimezone(self._now.tzinfo)
