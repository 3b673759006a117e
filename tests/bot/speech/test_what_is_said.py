"""What the ear expects to hear, held against the sentences that are understood."""

import re
from collections import Counter
from datetime import UTC, datetime
from itertools import chain

import pytest

from bot.speech.dictionary import hearing
from bot.speech.every_slot import SayEverything
from bot.speech.port import Situation
from bot.speech.what_is_said import every_word
from conversations.intents import Context
from conversations.understanding.rows import row_of
from conversations.understanding.sentences import sentences
from conversations.understanding.slots import Slots

HOURS = [Context(now=datetime(2026, 3, 14, hour, 50, tzinfo=UTC), stage="boil") for hour in range(24)]
"""An hour gone by is one at some times of the day only."""
KINDS = sorted({kind for sentence in sentences() for template in sentence.sentences for kind in re.findall(r"\{(\w+)", template)})


def is_read(kind: str, before: str, words: str, context: Context) -> bool:
    items, _ = row_of(before + words, context)
    return len(items) in [end for end, *_ in Slots(before + words, items, context).read(kind, bool(before))]


@pytest.mark.parametrize("kind", KINDS)
def test_every_slot_can_be_said_and_what_is_said_is_read(kind: str) -> None:
    """A slot that the ear has no words for shuts out every sentence that holds it."""
    say = SayEverything("boil", "metric", hearing()["names"] | hearing()["said"], (), 7)
    # A bare year is one only behind a word that leads to it.
    before = "from " if kind == "harvest" else ""
    for _ in range(30):
        words = say.slot(kind)
        assert words is not None
        assert any(is_read(kind, before, words, context) for context in (HOURS if kind == "earlier" else HOURS[-1:])), words


@pytest.fixture(scope="module")
def lines() -> list[str]:
    return list(chain(*every_word(Situation("plan"))))


@pytest.mark.slow
def test_nearly_every_word_of_every_sentence_is_expected(lines: list[str]) -> None:
    known = {word for line in lines for word in line.split()}
    written = Counter(
        word
        for sentence in sentences()
        for template in sentence.sentences
        for word in set(re.findall(r"(?<![{:\w'-])[a-z]+(?:'[a-z]+)?(?![\w'}:-])", template))
    )
    missing = [word for word in written if word not in known]
    assert len(missing) <= 0.04 * len(written), missing


@pytest.mark.slow
@pytest.mark.parametrize("words", ["nought point five", "new york", "pounds twenty", "ten minutes ago", "kilowatts"])
def test_numbers_sums_and_times_are_expected(words: str, lines: list[str]) -> None:
    assert any(words in line for line in lines)
