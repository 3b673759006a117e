"""The bars of the labelled corpus on what is developed against; the held-out part is looked at in totals only."""

from __future__ import annotations

from functools import cache

import pytest

from tests.conversations.report import Score, score

INTENTS, QUANTITIES = 0.97, 0.985
DEVELOPMENT = pytest.param("development", marks=pytest.mark.slow)


@cache
def found(part: str) -> Score:
    return score(part)


@pytest.mark.parametrize("part", [DEVELOPMENT])
def test_intents_are_read(part: str) -> None:
    assert found(part).recall >= INTENTS
    assert found(part).precision >= INTENTS


@pytest.mark.parametrize("part", [DEVELOPMENT])
def test_quantities_are_exact(part: str) -> None:
    assert found(part).exactness >= QUANTITIES


@pytest.mark.parametrize("part", [DEVELOPMENT, "negatives"])
def test_no_number_is_silently_wrong(part: str) -> None:
    assert [one.message.text for one in found(part).silently_wrong] == []


@pytest.mark.parametrize("part", [DEVELOPMENT, "negatives"])
def test_talk_and_open_questions_record_nothing(part: str) -> None:
    assert [(one.message.text, one.recorded) for one in found(part).recorded] == []
