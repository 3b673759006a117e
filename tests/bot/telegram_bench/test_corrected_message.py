"""An edited message corrects what it recorded before; over the real messenger library and a real process."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.store import Store
from tests.bot.telegram_bench.bench import ADA, Bench
from tests.bot.telegram_bench.served import Served


@pytest.mark.slow
def test_corrected_message_replaces_its_reading(bench: Bench, tmp_path: Path) -> None:
    served = Served(bench, tmp_path / "diary.db")
    served.pair()
    bench.say(ADA, "brew 5 litres of quiet ale")
    bench.hears(ADA.id, "started")
    bench.say(ADA, "gravity 1.050 at 20 C")
    bench.hears(ADA.id, "1.050")
    message = bench._message_id
    before = len(bench.sent(ADA.id))
    bench.edit(ADA, message, "gravity 1.052 at 20 C")
    bench.hears(ADA.id, "1.052", after=before)
    bench.say(ADA, "diary")
    shown = bench.hears(ADA.id, "quiet ale, started", after=before).text
    assert "1.052" in shown
    assert served.stop() == 0
    diary = Store.open(tmp_path / "diary.db", read_only=True)
    assert [each.value.value for each in diary.state(f"telegram:{ADA.id}").batches[0].readings] == [1.052]
