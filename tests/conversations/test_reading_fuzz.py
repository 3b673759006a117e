"""Whatever is written, reading it ends soon and never fails: messages, pasted recipes, questions."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from conversations.intents import Context, Understanding
from conversations.recipe.reader import TooLong, read_recipe
from conversations.session.stages import stages
from conversations.session.step import LONGEST
from conversations.understanding.answers import find_answer
from conversations.understanding.understand import list_intents, understand
from tests.fuzz.pace import works

NOW = datetime(2026, 10, 24, 23, 30, tzinfo=UTC)
LIMIT = 4.0
"""Works that any message may take, one of full length too (see tests/fuzz/pace.py)."""
EXAMPLES = int(os.environ.get("POTSIDE_FUZZ", "200"))

WORDS = st.sampled_from(
    [*sorted({word for _, example in list_intents() for word in example.split()}), "1", "1.050", "1,05", "½", "1/2", "1e9", "-3", "0", "999999999999", "٣", "°C", "F", "%", "l", "g", "kg", "@", "at",
       "to", "and", "or", ":", "5:60", "25:00", "31.2.", "tomorrow", "yesterday", "no,", "not", "\u202e", "\u0000", "🍺",
       "<b>", "&amp;", "'--", "grvity", "twenty", "hundred", "half", "quarter", "dozen"]
)  # fmt: skip
TEXTS = st.one_of(
    st.text(max_size=300),
    st.lists(WORDS, max_size=40).map(" ".join),
    st.lists(WORDS, max_size=25).map("\n".join),
    st.text(alphabet="0123456789.,/:-% klgmxCF½\n", max_size=200),
    st.binary(max_size=200).map(lambda data: data.decode("utf-8", "replace")),
)
CONTEXTS = st.builds(
    Context,
    now=st.just(NOW),
    zone=st.sampled_from(["UTC", "Europe/Lisbon", "Australia/Lord_Howe"]),
    units=st.sampled_from(["metric", "imperial", "us"]),
    stage=st.sampled_from([None, *stages()]),
    expects=st.sampled_from([None, "yes_no", "reading.gravity", "reading.volume", "batch.switch"]),
    names=st.sampled_from([(), ("Fuggle", "lentils")]),
)


def timed(read: Callable[[], object]) -> object:
    """The result of a call that must not take longer than the limit."""
    results: list[object] = []
    assert works(lambda: results.append(read()), LIMIT) <= LIMIT
    return results[-1]


@settings(max_examples=EXAMPLES, suppress_health_check=list(HealthCheck))
@given(text=TEXTS, context=CONTEXTS)
@example(text="ok so ANYWAY! 66 c mate", context=Context(now=NOW))
def test_any_message_is_read_soon(text: str, context: Context) -> None:
    read = timed(lambda: understand(text, context))
    assert isinstance(read, Understanding)
    for span in read.quantities:
        assert text[span.start : span.end] == span.text
    # What is kept must come back from the diary as it was.
    assert Understanding.model_validate_json(read.model_dump_json()).unread == read.unread


@settings(max_examples=EXAMPLES, suppress_health_check=list(HealthCheck))
@given(text=TEXTS, system=st.sampled_from(["metric", "imperial", "us"]))
def test_any_recipe_is_read_soon(text: str, system: str) -> None:
    try:
        recipe = timed(lambda: read_recipe(text, system))  # type: ignore[arg-type]
    except TooLong:
        assert text.count("\n") > 20 or len(text.splitlines()) > 20
        return
    for grain in recipe.grains:  # type: ignore[attr-defined]
        assert grain.mass is None or grain.mass.value >= 0
    find_answer(text)


@pytest.mark.parametrize("piece", ["1 ", "half ", "and ", "gravity 1.050 at 20 C, ", "1/2 ", "at 5 at ", "no no ", "(", "🍺",
                                   "tomorrow at 8 ", "x1 ", "½", "°", "1.050 ", "that's ", "12 g Fuggle 5% at 60\n", "to 5 to 6 l ", "remind me to ", "brew 5 litres of ", "5 % ", "1050,965\n"])  # fmt: skip
def test_a_full_length_message_of_one_piece_is_read_soon(piece: str) -> None:
    text = (piece * LONGEST)[:LONGEST]
    timed(lambda: understand(text, Context(now=NOW, stage="boil", names=("Fuggle",))))
