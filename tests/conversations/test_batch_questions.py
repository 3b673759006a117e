"""What the diary holds is said when it is asked after in a brewer's own words; nothing is recorded by asking."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat


@pytest.fixture
def chat() -> Chat:
    chat = Chat()
    for said in ("brew 8 litres of brown ale", "1.6 kg pale malt, 12 g Fuggle 5% at 60", "next", "grain in"):
        chat.says(said)
    return chat


def test_last_readings_come_newest_first_with_what_was_read(chat: Chat) -> None:
    chat.says("66")
    chat.waits(20 / 1440)
    chat.says("65")
    said = chat.says("what temps did I get").splitlines()
    assert [line.split(":")[0] for line in said] == ["65 °C", "Before that 66 °C"]
    chat.says("gravity 1.041 at 30 C")
    assert "read as 1.041" in chat.says("what was the gravity")


@pytest.mark.parametrize("asked", ["what was the gravity", "how much wort have I got", "what did the stick say"])
def test_what_was_not_measured_is_not_invented(chat: Chat, asked: str) -> None:
    before = len(chat.state.batches[0].readings)
    assert "is recorded yet" in chat.says(asked)
    assert len(chat.state.batches[0].readings) == before


def test_since_when_a_stage_runs(chat: Chat) -> None:
    chat.waits(30 / 1440)
    assert chat.says("how long has the mash been going").startswith("30 min: mash began at ")
    assert "boil has not begun" in chat.says("when did the boil start")


def test_what_it_should_be_is_the_plan_and_no_reading(chat: Chat) -> None:
    plan, target = chat.says("show me the plan"), chat.says("what should the gravity be")
    original = plan.split(" to ")[0]
    assert f"{original} into the fermenter" in target
    assert chat.says("what temperature should it be").startswith("67 °C")
    assert chat.state.batches[0].readings == ()


def test_without_a_batch_there_is_nothing_to_tell() -> None:
    chat = Chat()
    for asked in ("what was the gravity", "when did I pitch the yeast", "what gravity should I expect"):
        assert "No batch is open" in chat.says(asked)
