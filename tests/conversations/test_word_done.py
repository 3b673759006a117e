"""What "done" and a greeting lead to."""

from __future__ import annotations

from tests.conversations.weeks import Chat

HOUR = 61 / 1440


def test_done_means_what_the_reminder_asked_for() -> None:
    chat = Chat()
    chat.says("brew 8 litres of pale ale", "1.5 kg pale malt", "10 g Fuggle 5% at 60", "next", "next", "grain is in")
    chat.waits(HOUR)
    assert "Drain the bag" in chat.says("done")
    chat.says("it's boiling", "hops in")
    chat.waits(HOUR)
    assert "Flame-out and steep" in chat.says("done")
    chat.says("chilled")
    # The day went on: what was called before is past.
    assert chat.says("done") == "Noted."


def test_a_greeting_is_answered_with_what_is_next() -> None:
    chat = Chat()
    assert "starts a batch" in chat.says("hello")
    chat.says("brew 8 litres of pale ale")
    assert chat.says("Good morning!").startswith("Plan:")
    assert chat.says("thanks") == "All right."


def test_what_was_done_is_named_in_the_diary() -> None:
    chat = Chat()
    chat.says("brew 5 litres of ale")
    chat.says("remind me in 5 minutes to stir the mash")
    chat.waits(6 / 1440)
    chat.says("done")
    assert chat.batch.notes == ("stir the mash: done",)


def test_done_is_of_the_batch_that_was_called_and_says_which() -> None:
    chat = Chat()
    chat.says("brew 8 litres of Fen bitter", "1.5 kg pale malt", "10 g Fuggle 5% at 60", "next", "next", "grain is in")
    chat.says("brew 5 litres of Lane mild", "1 kg pale malt")
    second = chat.batch
    chat.waits(HOUR)
    # The first one's mash is up while the second one is being planned.
    answer = chat.says("done")
    assert answer.startswith("For Fen bitter:")
    assert "Drain the bag" in answer
    first = next(batch for batch in chat.state.batches if batch.name == "Fen bitter")
    assert (first.stage, chat.batch.id, chat.batch.stage) == ("drain", second.id, "plan")


def test_with_one_batch_its_name_is_not_said() -> None:
    chat = Chat()
    chat.says("brew 8 litres of Fen bitter")
    assert chat.says("done") == "Noted."
