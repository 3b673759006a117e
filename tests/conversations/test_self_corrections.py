"""A figure that is put right in the message that tells it: the last one counts, and only where words take the first back."""

from __future__ import annotations

import pytest

from conversations.intents import Context
from conversations.understanding.beyond_sentences import read
from tests.conversations.corpus import NOW, ZONE, Message, read_label
from tests.conversations.judging import judge


def _message(stage: str | None, text: str, *means: str) -> Message:
    context = Context(now=NOW, zone=ZONE, stage=stage)
    return Message(text, "typed", context, tuple(map(read_label, means)), not means, (), None)


@pytest.mark.parametrize(
    ("stage", "text", "means"),
    [
        ("mash", "66 no 67", "reading.temperature temperature=67 degC"),
        ("mash", "66 sorry 67", "reading.temperature temperature=67 degC"),
        ("mash", "66, no, 67", "reading.temperature temperature=67 degC"),
        ("mash", "mash is at 66 no sorry mash is at 65", "reading.temperature temperature=65 degC"),
        ("mash", "sixty four. no, hang on, sixty five and a half", "reading.temperature temperature=65.5 degC"),
        ("mash", "66 hang on a minute 67", "reading.temperature temperature=67 degC"),
        ("chill", "27 no sorry 24 degrees", "reading.temperature temperature=24 degC"),
        ("drain", "gravity 1.042 sorry 1.041", "reading.gravity gravity=1.041"),
        ("transfer", "og one oh five two, scratch that, one oh five three", "reading.gravity gravity=1.053"),
        ("drain", "6.5 litres no wait 7", "reading.volume volume=7 litre"),
        ("plan", "1.2 kg pale malt, oops I mean 1.3", "recipe.grain mass=1.3 kilogram, name=pale malt"),
        ("boil", "ten minute timer no make that twelve", "timer.start duration_s=720"),
        ("boil", "set a timer for ten no make that fifteen minutes", "timer.start duration_s=900"),
        (None, "bought 3 kg of pale malt, sorry, 4 kg", "stock.bought mass=4 kilogram, name=pale malt"),
        ("bottle", "twelve bottles, no, thirteen bottles, of 500 ml", "bottle.count count=13, volume=500 millilitre"),
        ("heat", "hold on no okay it's up to seventy one and a half now", "reading.temperature temperature=71.5 degC"),
    ],
)
def test_the_last_figure_counts(stage: str | None, text: str, means: str) -> None:
    verdict = judge(_message(stage, text, means), read)
    assert verdict.good, verdict


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        ("mash", "is it 66 no 67?"),
        ("mash", "she thinks it was 66 no 67"),
        ("mash", "66 no change from 65"),
        ("mash", "66 on one side, no 67 on the other"),
        ("mash", "should be 66 sorry 67"),
        (None, "got 12 litres, no 500 ml bottles"),
        ("mash", "i hope it's 66 no 67"),
    ],
)
def test_what_is_asked_hoped_or_of_two_things_records_nothing(stage: str | None, text: str) -> None:
    found = read(text, Context(now=NOW, zone=ZONE, stage=stage))
    assert [each for each in found.intents if not each.name.startswith(("ask.", "unclear."))] == []


def test_the_message_is_kept_as_it_was_said() -> None:
    found = read("66 sorry 67", Context(now=NOW, zone=ZONE, stage="mash"))
    assert found.text == "66 sorry 67"
