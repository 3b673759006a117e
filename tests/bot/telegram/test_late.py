"""What could not be sent for a while."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from bot.store import Unsent
from bot.telegram import late
from conversations.session.events import Attachment, Choice, Reply

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def waited(number: int, minutes: float, text: str = "stir", **fields: object) -> Unsent:
    reply = Reply(text=f"{text} {number}", choices=(Choice(label=f"done {number}", says="done"),), **fields)  # type: ignore[arg-type]
    return Unsent(number, NOW - timedelta(minutes=minutes), reply, "telegram:1")


def test_what_is_on_time_goes_as_it_is() -> None:
    assert late.together([waited(1, 1), waited(2, 0)], NOW) is None
    assert late.with_time(waited(1, 1), NOW) == waited(1, 1)


def test_one_late_reply_says_for_when_it_was_meant() -> None:
    assert late.together([waited(1, 30)], NOW) is None
    assert late.with_time(waited(1, 30), NOW).reply.text == "(meant for 09:00) stir 1"
    assert late.with_time(waited(1, 24 * 60), NOW).reply.text == "(meant for Friday 09:30) stir 1"


def test_many_late_replies_become_one_with_all_their_words_and_the_last_buttons() -> None:
    found = late.together([waited(1, 30), waited(2, 20), waited(3, 10), waited(4, 0)], NOW)
    assert found is not None
    gathered, reply = found
    assert [unsent.id for unsent in gathered] == [1, 2, 3]
    assert all(f"stir {number}" in reply.text for number in (1, 2, 3))
    assert reply.choices == waited(3, 10).reply.choices


def test_what_has_a_picture_or_is_half_sent_goes_alone() -> None:
    picture = waited(1, 30, attachments=(Attachment(kind="chart", alt="a chart"),))
    assert late.together([picture, waited(2, 20), waited(3, 20)], NOW) is None
    half = waited(1, 30)._replace(pieces=1)
    assert late.together([half, waited(2, 20)], NOW) is None
    assert late.with_time(half, NOW) == half
