"""`potside serve` with a clock that stands in a file, so that a test can let a day pass: DATA CLOCK."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.only_one import only_one
from bot.store import Store
from bot.telegram import housekeeping, logs, service
from bot.telegram.settings import load

ZONE = ZoneInfo("Europe/Lisbon")


class FileClock:
    """Tells the time that the file says."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def now(self) -> datetime:
        """The time, in the zone of the kitchen."""
        return datetime.fromisoformat(self._path.read_text(encoding="ascii")).astimezone(ZONE)


def main(data: Path, clock: Path) -> int:
    """Serve; what is looked at each second and each ten seconds is looked at oftener, since here time runs faster."""
    service.TICK_S = 0.02
    housekeeping.BEAT_S = 1.0
    settings = load()
    logs.start(settings.token, settings.log_level)
    with only_one(data):
        store = Store.open(data)
        try:
            return service.serve(settings, store, FileClock(clock))
        finally:
            store.close()


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2])))
