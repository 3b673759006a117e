from collections.abc import Callable
from datetime import UTC, datetime

import numpy as np
import pytest

from bot.speech.audio import encode
from bot.speech.commands import at_stage
from bot.speech.pocketsphinx_engine import Pocketsphinx
from bot.speech.port import RATE
from bot.speech.speak import voice_note
from conversations.session.fold import EMPTY
from conversations.session.state import State

NOW = datetime(2026, 3, 14, 10, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def ear(tmp_path_factory: pytest.TempPathFactory) -> Pocketsphinx:
    return Pocketsphinx(tmp_path_factory.mktemp("hearing"))


@pytest.fixture
def at() -> Callable[[str | None], State]:
    return lambda stage: at_stage(EMPTY, stage, NOW)


@pytest.fixture(scope="session")
def note() -> Callable[[str], bytes]:
    return voice_note


def hum(seconds: float, level: float = 0.2) -> bytes:
    time = np.arange(int(seconds * RATE)) / RATE
    return encode((level * np.sin(2 * np.pi * 100 * time)).astype(np.float32), RATE)
