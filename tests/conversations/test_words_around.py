"""Words around a plain meaning change nothing: "omg" before it, "mate" behind it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from conversations.intents import Context
from conversations.understanding.understand import understand
from tests.conversations.corpus import NOW, ZONE, messages
from tests.conversations.judging import judge

MOST_BROKEN = 0.02
BEFORE = ("omg ", "oh, ", "for goodness sake ", "well, ", "ok so ", "ah, ", "alright, ", "blimey ")
BEHIND = (" mate", " lol", " ta", " thx", ", thanks", " if you don't mind", " innit")


@pytest.mark.slow
@pytest.mark.parametrize("words", BEFORE + BEHIND)
def test_words_that_carry_nothing_change_nothing(words: str) -> None:
    # A note is kept as it was written, so words around it are a part of it.
    read = [one for one in messages("development")[::9] if one.text[:4].lower() != "note" and judge(one, understand).good]
    around = [replace(one, text=words + one.text if words in BEFORE else one.text.rstrip(" .!") + words) for one in read]
    verdicts = [judge(one, understand) for one in around]
    assert len(read) > 250
    assert [one.message.text for one in verdicts if one.silent or one.recorded] == []
    broken = [one.message.text for one in verdicts if not one.good]
    assert len(broken) <= MOST_BROKEN * len(read), broken


@pytest.mark.parametrize(
    ("text", "stage", "names"),
    [
        ("oh", "mash", []),
        ("omg", "boil", []),
        ("mate", "mash", []),
        ("go on then", "mash", ["stage.next"]),
        ("go on then, what did this lot cost", "condition", ["cost.batch"]),
        ("go on, how long left", "boil", ["timer.status"]),
        ("is it done mate?", "ferment", ["ask.finished"]),
    ],
)
def test_what_is_left_must_say_something(text: str, stage: str, names: list[str]) -> None:
    found = understand(text, Context(now=NOW, zone=ZONE, stage=stage))
    assert [each.name for each in found.intents] == names


@pytest.mark.parametrize("text", ["remind me on friday to ring my mate", "remind me on friday to ring my mate, ta"])
def test_a_closing_word_may_belong_to_what_is_said(text: str) -> None:
    [intent] = understand(text, Context(now=NOW, zone=ZONE)).intents
    assert intent.slots["what"] == "ring my mate"
