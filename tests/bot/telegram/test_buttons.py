"""Buttons only work where and when they were meant."""

from __future__ import annotations

from bot.telegram.buttons import NEWER, NOT_HERE, STALE, USED
from tests.bot.telegram.kitchen import ADA, BEN, EVE, GROUP, Kitchen
from tests.bot.telegram.test_access import token_in


async def test_undo_takes_back_what_it_stands_under(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("gravity 1.050")
    row, number = kitchen.row_with("undo")
    await kitchen.say("what's next")  # records nothing, so the button still holds
    assert "Taken back: gravity 1.050" in await kitchen.press(row, number)
    assert kitchen.gravities() == []
    assert kitchen.answered == [""]


async def test_undo_of_something_older_is_refused(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("gravity 1.050")
    row, number = kitchen.row_with("undo")
    await kitchen.say("gravity 1.051")
    assert await kitchen.press(row, number) == ""
    assert kitchen.answered == [NEWER]
    assert kitchen.gravities() == [1.050, 1.051]


async def test_pressed_twice_is_done_once(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("gravity 1.050")
    await kitchen.say("gravity 1.051")
    row, number = kitchen.row_with("undo")
    await kitchen.press(row, number)
    await kitchen.press(row, number)
    assert kitchen.answered == ["", USED]
    assert kitchen.gravities() == [1.050]


async def test_buttons_of_an_older_question_are_refused(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("timer 5 minutes")
    kitchen.later(minutes=5)
    kitchen.schedule.tick()
    first, done = kitchen.row_with("in 5 minutes")
    await kitchen.say("timer 1 minute")
    kitchen.later(minutes=1)
    kitchen.schedule.tick()
    await kitchen.press(first, done)
    assert kitchen.answered == [STALE]


async def test_forged_and_foreign_buttons_get_nothing(kitchen: Kitchen) -> None:
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("gravity 1.050")
    row, number = kitchen.row_with("undo")
    adas = kitchen.buttons.data(row, number, f"telegram:{ADA}")
    for data in (adas, f"{row:x}.{number}.{'0' * 20}", "", "..", "zz.0.x", "1.99.x", "-1.0.é", "9" * 64):
        assert await kitchen.press_raw(data, BEN) == ""
    assert kitchen.answered == [NOT_HERE] * 8
    assert await kitchen.press_raw(adas, EVE, ADA) == ""
    assert len(kitchen.answered) == 8  # a stranger does not even get that
    assert await kitchen.press_raw(adas, ADA, GROUP) == ""
    assert kitchen.gravities() == [1.050]


async def test_button_data_fits(kitchen: Kitchen) -> None:
    """Source: Telegram Bot API, InlineKeyboardButton: callback_data, 1 to 64 bytes."""
    assert len(kitchen.buttons.data(2**40, 99, "telegram:-100123456789").encode()) <= 64


async def test_shared_reminder_is_answered_once(kitchen: Kitchen) -> None:
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    await kitchen.say(f"/start {token_in(await kitchen.say('/share'))}", BEN)
    await kitchen.say("timer 5 minutes")
    kitchen.later(minutes=5)
    kitchen.schedule.tick()
    (ada, bens) = [row for row, _, reply in kitchen.outbox() if any(c.label == "done" for c in reply.choices)]
    await kitchen.press(ada, 0, ADA)
    await kitchen.press(bens, 0, BEN)
    assert kitchen.answered == ["", USED]
