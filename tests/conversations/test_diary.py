"""The diary by message."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat


@pytest.fixture
def chat() -> Chat:
    """Three batches, two of one name: a porter of January, a bitter of January and one of February."""
    chat = Chat()
    rows = (("Hill porter", "brown malt", "Goldings", "69", "1.055"), ("Lane bitter", "crystal malt", "Fuggle", "66", "1.044"),
            ("Lane bitter", "amber malt", "Cascade", "64", "1.040"))  # fmt: skip
    for name, malt, hop, mash, gravity in rows:
        chat.says(
            f"brew 5 litres of {name}", "1.1 kg pale malt", f"100 g {malt}", f"12 g {hop} 5% at 60", "grain is in"
        )
        chat.says(f"{mash} C", "chilled", f"5 litres, gravity {gravity} at 20 C", "transferred", "yeast is in")
        chat.waits(8)
        chat.says("gravity 1.012 at 20 C")
        chat.waits(3)
        chat.says("gravity 1.012 at 20 C", "next", "10 500 ml", "bottled")
        chat.waits(9)
    return chat


def test_a_value_of_long_ago(chat: Chat) -> None:
    assert chat.says("what was my mash temperature on the porter") == "Hill porter: mash temperature 69 °C."
    assert "1.055" in chat.says("what was the original gravity of the porter")
    assert "5.7 %" in chat.says("how strong was the porter")


def test_batches_of_one_name_are_told_apart_by_their_dates(chat: Chat) -> None:
    answer = chat.says("what was my mash temperature on the bitter")
    assert answer.splitlines() == [
        "Lane bitter (19 February 2026): mash temperature 64 °C.",
        "Lane bitter (30 January 2026): mash temperature 66 °C.",
    ]
    listed = chat.says("batches").splitlines()
    assert len(set(listed)) == 3


def test_when_an_ingredient_was_last_used(chat: Chat) -> None:
    assert "30 January 2026 (40 days ago), Lane bitter: 12.0 g Fuggle" in chat.says("when did I last use Fuggle")
    assert "Hill porter" in chat.says("when did I last use brown malt")
    assert "No batch in the diary has citra" in chat.says("when did I last use Citra")


def test_last_batch_and_a_named_one(chat: Chat) -> None:
    assert chat.says("last batch").startswith("Lane bitter, started 30.01.2026")
    assert chat.says("diary of hill porter").startswith("Hill porter")
    assert "No batch is called stout" in chat.says("diary of stout")


def test_two_batches_side_by_side(chat: Chat) -> None:
    lines = chat.says("compare hill porter with lane bitter").splitlines()
    assert lines[0] == "Hill porter | Lane bitter (19 February 2026)"
    assert "original gravity: 1.055 | 1.040" in lines
    assert "mash temperature: 69 °C | 64 °C" in lines
    assert chat.says("compare the last two batches").startswith("Lane bitter (30 January 2026) | Lane bitter (19 F")
    assert "No batch is called stout" in chat.says("compare stout with porter")


def test_best_and_totals(chat: Chat) -> None:
    assert "No batch has a score" in chat.says("best batches")
    chat.says("tasting: fine, 8/10")
    assert chat.says("best batches").startswith("1. Lane bitter, 19 February 2026: 8/10")
    answer = chat.says("totals for this year")
    # 3 x 5 l, 3 x 10 bottles of half a litre, 3 x 1.2 kg, 3 x 12 g.
    assert answer.splitlines() == [
        "2026: 3 batches, 15.0 l brewed.",
        "30 bottles, 15.0 l.",
        "3.60 kg grain and 36 g hops.",
    ]
    assert "No batch in 2025" in chat.says("totals for last year")


def test_a_day(chat: Chat) -> None:
    assert "Nothing on" in chat.says("diary today")
    chat.says("note: opened the window")
    assert "opened the window" in chat.says("diary today")
    assert "Nothing on" in chat.says("what happened yesterday")


def test_full_text_is_left_to_the_shell(chat: Chat) -> None:
    chat.says("search for the lid")
    assert [(each.kind, each.options) for each in chat.attached] == [("diary_search", {"query": "the lid"})]


def test_a_correction_shows_as_a_correction() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Lane bitter", "1.1 kg pale malt", "chilled", "gravity 1.050 at 20 C", "no, 1.046")
    assert "gravity 1.046 (corrected, was 1.050)" in chat.says("diary")
    chat.says("undo")
    assert "corrected" not in chat.says("diary")
    assert "1.050" in chat.says("diary")


def test_switching_between_batches_of_one_name_asks_which() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Lane bitter", "1 kg pale malt", "yeast is in")
    chat.waits(2)
    chat.says("brew 8 litres of Lane bitter", "1 kg pale malt", "yeast is in")
    answer = chat.says("switch to lane bitter")
    assert "Which one" in answer
    older = next(says for label, says in chat.choices.items() if "10 January" in label)
    assert "10 January" in chat.says(older)
    assert chat.state.current == chat.state.batches[0].id


def test_diary_questions_without_batches_say_so() -> None:
    chat = Chat()
    for message in ("diary", "last batch", "compare the last two batches", "best batches", "totals for this year",
                    "what was my mash temperature on the porter", "when did I last use Fuggle"):  # fmt: skip
        assert chat.says(message)
