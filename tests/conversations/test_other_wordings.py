"""Every message of fixtures/understanding/other_wordings.toml is read as its label says, with every figure."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from conversations.understanding.beyond_sentences import read
from tests.conversations.corpus import FOLDER, read_message
from tests.conversations.judging import judge

MESSAGES: list[dict[str, Any]] = tomllib.loads((FOLDER / "other_wordings.toml").read_text(encoding="utf-8"))["messages"]


@pytest.mark.parametrize("stage", sorted({each.get("stage", "-") for each in MESSAGES}))
def test_is_read_as_labelled(stage: str) -> None:
    verdicts = [judge(read_message(raw), read) for raw in MESSAGES if raw.get("stage", "-") == stage]
    wrong = [each for each in verdicts if not each.good]
    assert [(each.message.text, each.complaints, each.silent, each.got) for each in wrong] == []


def test_there_are_many() -> None:
    assert len(MESSAGES) >= 200
