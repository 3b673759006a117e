"""A kitchen whose messenger has no network."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bot.telegram.kitchen import Kitchen


@pytest.fixture
def kitchen(tmp_path: Path) -> Iterator[Kitchen]:
    made = Kitchen(tmp_path / "diary.db")
    yield made
    made.store.close()
