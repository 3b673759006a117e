"""The bench as a fixture: one emulator and one proxy a test, so that update ids and faults do not mix."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.bot.telegram_bench.bench import Bench


@pytest.fixture
def bench() -> Iterator[Bench]:
    """A fresh platform."""
    made = Bench()
    yield made
    made.close()
