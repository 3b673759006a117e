"""Tasting notes by conversation, and faults in plain words."""

from __future__ import annotations

import pytest

from conversations.session.events import Heard
from conversations.session.fermentation import page
from conversations.session.step import step
from conversations.session.tasting import faults_in
from tests.conversations.weeks import Chat, pitched


@pytest.fixture
def chat() -> Chat:
    chat = pitched()
    chat.waits(8)
    chat.says("gravity 1.011 at 20 C")
    chat.waits(3)
    chat.says("gravity 1.011 at 20 C", "next", "10 500 ml", "bottled")
    chat.waits(14)
    return chat


def test_six_questions_make_a_note_in_the_persons_words(chat: Chat) -> None:
    chat.says(
        "tasting", "clear, good foam", "toast, a bit of butter", "dry; bitter", "thin, 2 bubbles", "seven and a half"
    )
    assert "7.5/10" in chat.says("warmer mash")
    note = chat.batch.tastings[0]
    assert (note.appearance, note.aroma, note.taste) == ("clear, good foam", "toast, a bit of butter", "dry; bitter")
    assert (note.mouthfeel, note.score, note.change) == ("thin, 2 bubbles", 7.5, "warmer mash")
    assert note.faults[0].startswith("butter")
    assert "next time: warmer mash" in chat.says("diary")


def test_skip_stop_and_a_question_in_between(chat: Chat) -> None:
    chat.says("tasting", "skip", "grapefruit")
    assert "Stair bitter" in chat.says("diary")
    assert "Feel" in chat.says("bitter")
    assert "Noted, as far as it goes" in chat.says("stop")
    note = chat.batch.tastings[0]
    assert (note.appearance, note.aroma, note.taste, note.score) == ("", "grapefruit", "bitter", None)
    assert not any(timer for timer in chat.state.timers)


def test_a_picture_of_the_glass_does_not_end_the_note(chat: Chat) -> None:
    chat.says("tasting")
    outcome = step(chat.state, Heard(text="", photo="photos/glass.jpg"), chat.now)
    chat._took(outcome)
    assert chat.batch.photos
    assert "Smell" in chat.says("clear")


def test_a_score_that_is_no_number_is_asked_again(chat: Chat) -> None:
    chat.says("tasting", "skip", "skip", "skip", "skip")
    assert "A number from 0 to 10" in chat.says("lovely")
    assert "change" in chat.says("8")
    assert chat.batch.tastings[0].score == 8


def test_a_note_in_one_message(chat: Chat) -> None:
    answer = chat.says("tasting: amber, cardboard and sherry, 4/10")
    assert "4/10" in answer
    assert "splashing" in answer
    chat.says("undo")
    assert not chat.batch.tastings


@pytest.mark.parametrize("row", page("faults")["fault"], ids=lambda row: row["name"])
def test_every_fault_is_found_by_each_of_its_words(row: dict[str, list[str]]) -> None:
    for word in row["words"]:
        assert row in faults_in(f"it has some {word}, I think"), word


@pytest.mark.parametrize(
    "said",
    ["no butter", "not sour", "no apple and no banana", "clear and malty", "without any vinegar", "button mushrooms"],
)
def test_what_is_not_there_is_no_fault(said: str) -> None:
    assert not faults_in(said)


@pytest.mark.parametrize(
    ("asked", "cause"),
    [
        ("why does it taste of butter", "yeast had cleaned up"),
        ("it smells of eggs", "young beer"),
        ("why does it taste sour", "not clean"),
    ],
)
def test_why_it_tastes_so(chat: Chat, asked: str, cause: str) -> None:
    assert cause in chat.says(asked)


def test_a_reading_in_between_is_a_reading_and_no_taste(chat: Chat) -> None:
    chat.says("tasting")
    assert "1.010" in chat.says("gravity 1.010 at 20 C")
    assert "Smell" in chat.says("clear, good foam")
    assert chat.batch.tastings[0].appearance == "clear, good foam"
    assert chat.batch.readings[-1].kind == "gravity"


def test_a_gravity_is_no_score(chat: Chat) -> None:
    chat.says("tasting", "skip", "skip", "skip", "skip")
    chat.says("1.020")
    assert chat.batch.tastings[0].score is None


def test_one_batch_is_not_erased_by_a_message(chat: Chat) -> None:
    before = len(chat.state.batches)
    assert "Nothing is erased" in chat.says("delete this batch")
    assert len(chat.state.batches) == before


@pytest.mark.parametrize("text", ["gravity's 1.010, sample tasted nice and bready", "1.010 and the sample tasted a bit sweet", "gravity 1.010. tasted of caramel"])
def test_a_remark_beside_a_reading_is_a_note_and_opens_no_questions(text: str) -> None:
    chat = pitched()
    chat.waits(8)
    answer = chat.says(text)
    assert "1.010 noted" in answer
    assert "Noted:" in answer
    assert chat.state.expects is None
    assert not chat.batch.tastings
    assert chat.batch.notes[-1].startswith(("tasted", "sample"))
    assert "20 °C noted" in chat.says("20 degrees")


def test_an_open_question_of_a_note_lets_the_day_go_on(chat: Chat) -> None:
    chat.says("tasting")
    for text, answered in (
        ("set a timer for 5 minutes", "timer"),
        ("gravity 1.011 and something odd", "1.011 noted"),
        ("19 degrees", "19 °C noted"),
        ("remind me in two hours to ring my brother", "ring my brother"),
        ("can I drink it now?", ""),
    ):
        assert answered in chat.says(text), text
        assert chat.state.expects == "tasting.appearance", text
        assert not chat.batch.tastings[0].appearance, text
    assert "Smell" in chat.says("hazy, good foam")
    assert "Taste" in chat.says("smells of bread, done nicely")
    assert chat.batch.tastings[0].aroma == "smells of bread, done nicely"


def test_nothing_is_taken_for_an_answer_hours_later(chat: Chat) -> None:
    chat.says("tasting")
    chat.waits(1)
    chat.says("hazy and cold")
    assert not chat.batch.tastings[0].appearance
