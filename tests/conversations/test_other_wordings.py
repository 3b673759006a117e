"""Every message of fixtures/understanding/other_wordings.toml is read as its label says, with every figure."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from conversations.understanding.beyond_sentences import read
from tests.conversations.corpus import FOLDER, read_message
from tests.conversations.judging import judge

MESSAGES: list[dict[str, Any]] = tomllib.loads((FOLDER / "other_wordings.toml").read_text(encoding="utf-8"))["messages"]


@pytest.mark.parametrize("raw", MESSAGES, ids=[f"{each.get('stage', '-')}: {each['text']}" for each in MESSAGES])
def test_is_read_as_labelled(raw: dict[str, Any]) -> None:
    verdict = judge(read_message(raw), read)
    assert verdict.good, (verdict.complaints, verdict.silent, [(each.name, each.slots) for each in verdict.got])


def test_there_are_many() -> None:
    assert len(MESSAGES) >= 200
