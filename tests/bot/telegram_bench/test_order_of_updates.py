"""Updates that come reversed or twice in one answer are handled once, in the order in which they were written."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest

from tests.bot.telegram_bench.bench import ADA, Bench
from tests.bot.telegram_bench.served import Served


@pytest.mark.slow
def test_reversed_and_doubled_updates(bench: Bench, tmp_path: Path) -> None:
    data = tmp_path / "diary.db"
    served = Served(bench, data)
    served.pair()
    assert served.stop() == 0
    for number in range(6):
        bench.say(ADA, f"note: n{number}")
    bench.fault("reorder", "getUpdates")
    bench.fault("duplicate", "getUpdates", skip=1, times=3)
    served = Served(bench, data)
    bench.hears(ADA.id, "n5", 60)
    bench.say(ADA, "note: last")
    bench.hears(ADA.id, "last", 60)
    bench.quiet()
    served.stop()
    with sqlite3.connect(data) as diary:
        rows = diary.execute("SELECT data FROM events WHERE kind = 'note' ORDER BY id").fetchall()
    assert [json.loads(row[0])["text"] for row in rows] == [*(f"n{number}" for number in range(6)), "last"]
