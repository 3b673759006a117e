"""The invented days in fixtures/ against their reviewed conversations, byte for byte."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from bot.rehearse import rehearse

DAYS = Path(__file__).parents[2] / "fixtures" / "days"
SCRIPTS = sorted(DAYS.glob("*.txt"))


def played(script: Path) -> str:
    out = io.StringIO()
    rehearse(script.read_text(encoding="utf-8").splitlines(), out)
    return out.getvalue()


def test_there_are_days() -> None:
    assert len(SCRIPTS) >= 2


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.stem)
def test_the_day_goes_as_reviewed(script: Path) -> None:
    assert played(script) == script.with_suffix(".reviewed").read_text(encoding="utf-8")
