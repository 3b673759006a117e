"""Years said in two halves, beside what only looks like one."""

from datetime import UTC, datetime

import pytest

from conversations.intents import Context
from conversations.understanding.numbers import number_items
from conversations.understanding.understand import understand
from conversations.understanding.words import split

PLANNING = Context(now=datetime(2026, 3, 14, 10, tzinfo=UTC), stage="plan")


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("the goldings are from twenty twenty four", "the goldings are from 2024"),
        ("the yeast is best before march twenty twenty seven", "the yeast is best before march 2027"),
        ("fuggles harvest twenty twenty five", "fuggles harvest 2025"),
    ],
)
def test_a_year_is_heard_as_it_is_written(said: str, written: str) -> None:
    found, wanted = understand(said, PLANNING), understand(written, PLANNING)
    assert wanted.intents
    assert not wanted.unread
    assert [(each.name, each.slots) for each in found.intents] == [(each.name, each.slots) for each in wanted.intents]


@pytest.mark.parametrize("text", ["remind me in twenty twenty five minutes", "stick says twenty twenty four", "from twenty twenty minutes"])
def test_two_figures_elsewhere_are_no_year(text: str) -> None:
    assert not any(2000 <= item.value < 2100 for item in number_items(split(text)))
