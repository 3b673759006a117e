"""One batch shared with somebody: they see and add to that one, and nothing else of the diary."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.telegram.makers import make_all
from bot.telegram.one_batch import MAY_SAY, may_offer, seen
from bot.telegram.places import Share
from bot.telegram.status_message import status_text
from bot.telegram.updates import address_of
from conversations.session.events import Attachment, Choice, Heard, Reply
from conversations.session.fold import EMPTY, fold
from conversations.understanding.understand import list_intents
from tests.bot.telegram.kitchen import ADA, BEN, EVE, GROUP, NOW, Kitchen
from tests.bot.telegram.test_access import token_in

SECRET = "wineberry"


@pytest.fixture
async def shared(kitchen: Kitchen) -> Kitchen:
    """Ada has an older secret batch and a brown ale; Ben was let into the brown ale."""
    await kitchen.say(f"brew 5 litres of {SECRET} stout")
    await kitchen.say(f"note: {SECRET} note")
    await kitchen.say("gravity 1.070")
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("switch to brown ale")
    await kitchen.say("12 g Fuggle 5% at 10")
    await kitchen.say("it's boiling")
    await kitchen.say("gravity 1.050")
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    told = await kitchen.say("share this batch")
    assert "nothing else of the diary" in told
    opened = await kitchen.say(f"/start {token_in(told)}", BEN)
    assert "brown ale of Ada" in opened
    assert "Your link was opened: Ben shares brown ale now." in opened  # this line goes to Ada
    assert [each.reply.text for each in kitchen.store.unsent(address_of(ADA))][-1].startswith("Your link was opened")
    return kitchen


def gravities(kitchen: Kitchen, batch: int) -> list[tuple[float, str]]:
    return [(round(each.value.value, 3), each.who) for each in kitchen.state(ADA).batches[batch].readings]


def whole(kitchen: Kitchen) -> None:
    """The diary is the fold of its events, whoever added to it."""
    events = [event for _, _, event in kitchen.store.events(address_of(ADA))]
    assert fold(EMPTY, events) == kitchen.state(ADA)


async def test_guest_adds_and_it_shows_who(shared: Kitchen) -> None:
    assert "1.048" in await shared.say("gravity 1.048", BEN)
    assert "Noted" in await shared.say("note: smells of toffee", BEN)
    await shared.take(shared.arrived("photo", BEN, file="f", text="the pot"))
    assert gravities(shared, 1) == [(1.05, "Ada"), (1.048, "Ben")]
    batch = shared.state(ADA).batches[1]
    assert batch.notes == ("smells of toffee",)
    assert len(batch.photos) == 1
    for who in (ADA, BEN):
        diary = await shared.say("show the diary", who)
        assert "1.048, Ben" in diary
    assert shared.state(BEN).batches == ()
    whole(shared)


@pytest.mark.slow
async def test_guest_changes_nothing_else(shared: Kitchen) -> None:
    """Every thing that can be said: whatever comes of it, only additions to that batch reach the diary."""
    for name, example in list_intents():
        before = shared.state(ADA)
        await shared.say(example, BEN)
        after = shared.state(ADA)
        assert after.batches[0] == before.batches[0], (name, example)
        one, other = before.batches[1], after.batches[1]
        kept = {"readings", "notes", "notes_at", "photos", "corrections", "cautions_shown"}
        assert one.model_dump(exclude=kept) == other.model_dump(exclude=kept), (name, example)
        for field in ("kit", "kits", "stock", "timers", "units", "zone", "currency", "quiet_from", "speech", "current",
                      "nudges", "awaited", "notes", "expects", "question", "last", "why", "understood"):  # fmt: skip
            assert getattr(after, field) == getattr(before, field), (name, example, field)
        for key in before.reminders.keys() | after.reminders.keys():
            if not key.startswith("2:watch:"):
                assert before.reminders.get(key) == after.reminders.get(key), (name, example, key)
        if name not in MAY_SAY and name not in ("undo",):
            assert one.readings == other.readings, (name, example)
            assert one.notes == other.notes, (name, example)
        await shared.say("/shared 1", BEN)
    whole(shared)


@pytest.mark.slow
async def test_guest_is_told_of_nothing_else(shared: Kitchen) -> None:
    await shared.say(f"why? {SECRET}")
    told = [await shared.say(example, BEN) for _, example in list_intents()]
    told += [await shared.say(line, BEN) for line in ("batches", f"switch to {SECRET} stout", "find toffee", "why?", "undo")]
    assert len([each for each in told if each]) > 150
    assert SECRET not in "\n".join(told)
    assert "1.070" not in "\n".join(told)
    state = seen(shared.state(ADA), shared.state(ADA).batches[1].id)
    assert state is not None
    assert SECRET not in state.model_dump_json()
    assert status_text(state, NOW).startswith("brown ale")


async def test_own_readings_can_be_taken_back_and_no_others(shared: Kitchen) -> None:
    assert "not from here" in await shared.say("undo", BEN)
    assert gravities(shared, 1) == [(1.05, "Ada")]
    await shared.say("gravity 1.048", BEN)
    assert "Taken back: gravity 1.048" in await shared.press(*shared.row_with("undo"), BEN)
    assert gravities(shared, 1) == [(1.05, "Ada")]
    await shared.say("gravity 1.047", BEN)
    await shared.say("gravity 1.046")
    assert "not from here" in await shared.say("undo", BEN)
    assert "Taken back: gravity 1.046" in await shared.say("undo")
    whole(shared)


async def test_each_has_a_conversation_of_its_own(shared: Kitchen) -> None:
    assert "?" in await shared.say("gravity 1.200", BEN)  # doubted, and asked
    assert shared.state(ADA).question is None
    assert "no open question" in await shared.say("yes", ADA)
    await shared.say("no", BEN)
    assert "?" in await shared.say("gravity 1.200", ADA)
    await shared.say("gravity 1.045", BEN)
    assert "no open question" in await shared.say("yes", BEN)
    assert "1.200" in await shared.say("yes", ADA)
    assert gravities(shared, 1) == [(1.05, "Ada"), (1.045, "Ben"), (1.2, "Ada")]
    whole(shared)


async def test_edited_message_of_a_guest_mends_the_reading(shared: Kitchen) -> None:
    arrived = shared.arrived("text", BEN, text="gravity 1.048")
    await shared.take(arrived)
    await shared.say("gravity 1.047", BEN, message=arrived.message, edited=True)
    assert gravities(shared, 1) == [(1.05, "Ada"), (1.047, "Ben")]
    whole(shared)


async def test_voice_of_a_guest(shared: Kitchen) -> None:
    shared.words = Heard(text="gravity 1.044", spoken=True)
    await shared.take(shared.arrived("voice", BEN, file="v", seconds=3))
    shared.words = Heard(text="brew 5 litres of mild", spoken=True)
    await shared.take(shared.arrived("voice", BEN, file="v", seconds=3))
    assert gravities(shared, 1)[-1] == (1.044, "Ben")
    assert len(shared.state(ADA).batches) == 2


async def told_to(kitchen: Kitchen, minutes: int) -> set[tuple[str, str]]:
    before = kitchen.last_reply()
    kitchen.later(minutes=minutes)
    kitchen.schedule.tick()
    return {(address, reply.text.splitlines()[0]) for row, address, reply in kitchen.outbox() if row > before}


async def test_reminders_of_the_batch_go_there_too_and_no_others(shared: Kitchen) -> None:
    await shared.say(f"switch to {SECRET} stout")
    await shared.say(f"remind me in 4 minutes to smell the {SECRET}")
    on_time = await told_to(shared, 3)
    assert {address for address, _ in on_time} == {address_of(ADA), address_of(BEN)}
    assert all("brown ale: Watch the foam" in text for _, text in on_time)
    assert await told_to(shared, 1) == {(address_of(ADA), f"Reminder: smell the {SECRET}.")}


async def test_missed_reminders_do_not_bring_those_of_others_along(shared: Kitchen) -> None:
    await shared.say(f"remind me in 7 minutes to smell the {SECRET}")
    await shared.say(f"timer 8 minutes for the {SECRET}")
    before = shared.last_reply()
    await told_to(shared, 90)
    told = [(address, reply.text) for row, address, reply in shared.outbox() if row > before]
    assert [text for address, text in told if address == address_of(BEN)] == [told[0][1]]
    assert SECRET not in told[0][1]
    assert "Hops now" in told[0][1]
    assert any(SECRET in text for address, text in told if address == address_of(ADA))


async def test_ended_by_either(shared: Kitchen) -> None:
    assert "1. Ben, brown ale" in await shared.say("/unshare")
    assert "for its owner" in await shared.say("/unshare 1", BEN)
    await shared.say("/mine", BEN)
    await shared.say("gravity 1.099", BEN)
    assert "1. brown ale of Ada" in await shared.say("/shared", BEN)
    await shared.say("/shared 1", BEN)
    await shared.say("gravity 1.043", BEN)
    assert gravities(shared, 1)[-1] == (1.043, "Ben")
    assert "Ended: Ben, brown ale" in await shared.say("/unshare 1")
    await shared.say("gravity 1.042", BEN)
    assert gravities(shared, 1)[-1] == (1.043, "Ben")
    assert shared.places.find(address_of(BEN)).diary == address_of(BEN)  # type: ignore[union-attr]
    assert "Nobody has shared" in await shared.say("/shared", BEN)
    assert {address for address, _ in await told_to(shared, 3)} == {address_of(ADA)}
    assert "shared with nobody" in await shared.say("/unshare")


async def test_what_waited_for_a_guest_is_not_sent_after_the_end(shared: Kitchen) -> None:
    await shared.say("gravity 1.048", BEN)
    share = Share(address_of(ADA), shared.state(ADA).batches[1].id, address_of(BEN))
    shared.places.end(share, "It ended.", shared.clock.now())
    assert [each.reply.text for each in shared.store.unsent(address_of(BEN))][-1] == "It ended."
    assert all("1.048" not in each.reply.text for each in shared.store.unsent(address_of(BEN)))


async def test_group_that_shares_one_batch(shared: Kitchen) -> None:
    link = token_in(await shared.say("share only this batch"))
    # The owner brings the bot into the group, which opens the owner's own link there.
    assert "brown ale of Ada" in await shared.say(f"/start@potbot {link}", ADA, GROUP, title="Sunday brewers")
    await shared.say("gravity 1.041", BEN, GROUP, title="Sunday brewers")
    await shared.say(f"note: {SECRET}?", EVE, GROUP)  # may not talk at all
    assert gravities(shared, 1)[-1] == (1.041, "Ben")
    assert SECRET not in await shared.say("show the diary", BEN, GROUP, title="Sunday brewers")
    assert "Sunday brewers, brown ale" in await shared.say("/unshare")
    lines = (await shared.say("/unshare")).splitlines()
    await shared.say(f"/unshare {1 + next(at for at, line in enumerate(lines) if 'Sunday' in line)}")
    await shared.say("gravity 1.040", BEN, GROUP, title="Sunday brewers")
    assert gravities(shared, 1)[-1] == (1.041, "Ben")


async def test_link_of_a_batch_cannot_be_used_twice_or_for_more(shared: Kitchen) -> None:
    link = token_in(await shared.say("share this batch"))
    await shared.say(f"/start {link}", EVE)  # the owner's link brings in a new person
    assert "does not hold" in await shared.say(f"/start {link}", BEN)
    place = shared.places.find(address_of(EVE))
    assert place is not None
    assert (place.diary, place.batch) == (address_of(ADA), shared.state(ADA).batches[1].id)
    assert "only they can share" in await shared.say("/share", EVE)
    assert "only they can share" in await shared.say("share this batch", EVE)
    assert "somebody else's" in await shared.say("/export", EVE)
    await shared.say("/remove 3")
    await shared.say("gravity 1.030", EVE)
    assert (1.03, "Eve") not in gravities(shared, 1)


async def test_pictures_are_made_of_that_batch_alone(shared: Kitchen) -> None:
    batch = shared.state(ADA).batches[1].id
    reply = Reply(text="", attachments=(Attachment(kind="diary_search", alt="found", options={"query": SECRET}),))
    (found,) = await make_all(shared.store, address_of(ADA), reply, batch)
    assert "note" not in str(found).lower()
    for line in ("send me everything", "export everything", "export this batch", "print labels"):
        replies = await shared.take(shared.arrived("text", BEN, text=line))
        assert all(not each.attachments for each in replies), line


async def test_buttons_that_do_nothing_for_a_guest_are_not_shown(shared: Kitchen) -> None:
    state = seen(shared.state(ADA), shared.state(ADA).batches[1].id)
    assert state is not None
    offered = {says: may_offer(Choice(label=says, says=says), state) for says in ("undo", "what's next", "yes", "hops in", "in 5 minutes")}
    assert offered == {"undo": True, "what's next": True, "yes": True, "hops in": False, "in 5 minutes": False}


async def test_questions_of_owner_and_guest_do_not_make_each_others_buttons_stale(shared: Kitchen) -> None:
    await shared.say("gravity 1.200", ADA)
    mine = shared.row_with("yes, keep it")
    await shared.say("gravity 1.200", BEN)
    theirs = shared.row_with("yes, keep it")
    assert mine != theirs
    assert "1.200" in await shared.press(*mine, ADA)
    assert "1.200" in await shared.press(*theirs, BEN)
    assert gravities(shared, 1)[1:] == [(1.2, "Ada"), (1.2, "Ben")]


async def test_batch_that_is_gone(shared: Kitchen) -> None:
    shared.places.work_in(address_of(BEN), address_of(ADA), 99)
    shared.places.let_into_batch(address_of(ADA), 99, address_of(BEN))
    assert "not there any more" in await shared.say("gravity 1.040", BEN)
    assert {address for address, _ in await told_to(shared, 3)} == {address_of(ADA)}
    assert shared.clock.now() - NOW == timedelta(minutes=3)


async def test_erasing_ends_it_on_both_sides(shared: Kitchen) -> None:
    await shared.say("gravity 1.048", BEN)
    await shared.say("/mine", BEN)
    await shared.say("/shared 1", BEN)
    await shared.say("/erase", BEN)
    await shared.press(*shared.row_with("yes, erase everything"), BEN)
    assert gravities(shared, 1)[-1] == (1.048, "")
    assert {address for address, _ in await told_to(shared, 3)} == {address_of(ADA)}
    assert shared.places.shares(address_of(ADA)) == []


async def test_the_wish_is_of_the_person_not_of_the_diary_shared(shared: Kitchen) -> None:
    shared.words = Heard(text="gravity 1.050")
    await shared.say("keep my voice notes", BEN)
    await shared.take(shared.arrived("voice", file="v"))
    assert shared.state(ADA).batches[-1].recordings == ()
    await shared.take(shared.arrived("voice", BEN, file="v"))
    assert len(shared.state(ADA).batches[-1].recordings) == 1
    assert not shared.state(ADA).keeps_recordings
