"""Words that only lead to a message ("quick one:", "btw"), and questions whether to, which change nothing."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from conversations.intents import Context
from conversations.understanding.understand import understand
from tests.conversations.weeks import Chat, pitched


def _names(text: str, stage: str | None = "plan") -> list[str]:
    found = understand(text, Context(now=datetime(2026, 11, 22, 12, tzinfo=UTC), stage=stage))
    return [each.name for each in found.intents]


@pytest.mark.parametrize(
    "opening",
    ["quick one: ", "Quick one, ", "anyway, ", "now then, ", "right, ", "oh and ", "btw ", "by the way, ", "before I forget: ", "one more thing - ", "oh, btw, quick one: ", "forgot to say, "],
)
@pytest.mark.parametrize(
    ("said", "stage"),
    [("dry hop 15g cascade", "plan"), ("12 g golding at 10", "plan"), ("200 g crystal malt", "plan"), ("1.020", "ferment"), ("19.5 C", "ferment"), ("what was the og", "ferment"), ("how much sugar", "bottle")],
)
def test_what_leads_to_a_message_is_no_part_of_it(opening: str, said: str, stage: str) -> None:
    context = Context(now=datetime(2026, 11, 22, 12, tzinfo=UTC), stage=stage)
    plain, led = understand(said, context), understand(opening + said, context)
    assert plain.intents
    assert [(each.name, each.slots) for each in led.intents] == [(each.name, each.slots) for each in plain.intents]
    assert led.unread == plain.unread


def test_an_opening_that_says_something_is_kept() -> None:
    assert _names("anyway, bottle it", "ferment") == ["bottle.anyway"]
    assert _names("sorry, 1.052", "ferment") != ["timer.start"]
    assert _names("one more minute on the timer", "boil") == ["timer.extend"]


@pytest.mark.parametrize(
    "asked",
    [
        "can I use 100 g of sugar", "could I use 100 g of crystal malt", "should I add 10 g golding at 5 minutes", "would 100 g of sugar help",
        "is 20 g fuggle enough", "do I want 100 g of crystal malt", "does 100 g sugar work", "is it ok to use 100 g of sugar", "may I mash at 68",
        "quick one, can I use 100 g of sugar", "btw should I add 10 g golding at 5 minutes",
    ],
)  # fmt: skip
def test_a_question_whether_to_does_not_write_the_recipe(asked: str) -> None:
    chat = Chat()
    chat.says("brew 8 litres of Fen bitter", "1.6 kg pale malt")
    before = chat.batch.recipe
    chat.says(asked)
    assert chat.batch.recipe == before


@pytest.mark.parametrize("asked", ["can you add 100 g of sugar", "could you add 100 g of sugar?", "I would like 100 g of sugar"])
def test_asked_politely_it_is_written(asked: str) -> None:
    chat = Chat()
    chat.says("brew 8 litres of Fen bitter", "1.6 kg pale malt", asked)
    assert [name for name, _ in chat.batch.recipe.grains] == ["pale malt", "sugar"]


def test_a_gravity_is_no_answer_to_a_question_for_degrees() -> None:
    chat = pitched()
    chat.waits(2.3)
    assert chat.state.expects == "reading.temperature"
    chat.says("1.022")
    assert [(each.kind, each.value.value) for each in chat.batch.readings][-1] == ("gravity", 1.022)
