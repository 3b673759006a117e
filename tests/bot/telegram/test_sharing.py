"""Diaries that several people work in, and those that nobody else sees."""

from __future__ import annotations

import pytest

from bot.telegram.updates import address_of
from tests.bot.telegram.kitchen import ADA, BEN, GROUP, Kitchen
from tests.bot.telegram.test_access import token_in


@pytest.fixture
async def shared(kitchen: Kitchen) -> Kitchen:
    """Ada brews, and Ben was let into her diary."""
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    await kitchen.say("gravity 1.091", BEN)
    assert "diary of Ada" in await kitchen.say(f"/start {token_in(await kitchen.say('/share'))}", BEN)
    return kitchen


async def test_people_see_nothing_of_each_other(kitchen: Kitchen) -> None:
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    await kitchen.say("brew 8 litres of brown ale")
    assert "brown ale" not in await kitchen.say("show the diary", BEN)
    assert kitchen.state(BEN).batches == ()


async def test_readings_of_a_shared_diary_show_who_took_them(shared: Kitchen) -> None:
    await shared.say("gravity 1.050", ADA)
    await shared.say("gravity 1.051", BEN)
    assert [each.who for each in shared.state(ADA).batches[0].readings] == ["Ada", "Ben"]
    diary = await shared.say("show the diary", BEN)
    assert "1.050, Ada" in diary
    assert "1.051, Ben" in diary
    assert "1.091" not in diary


async def test_own_diary_stays_own(shared: Kitchen) -> None:
    assert "own diary" in await shared.say("/mine", BEN)
    await shared.say("gravity 1.060", BEN)
    assert shared.gravities(ADA) == []
    assert "1. the diary of Ada" in await shared.say("/shared", BEN)
    await shared.say("/shared 1", BEN)
    await shared.say("gravity 1.052", BEN)
    assert shared.gravities(ADA) == [1.052]


async def test_reminders_go_where_the_batch_lives(shared: Kitchen) -> None:
    await shared.say("remind me in 5 minutes to stir", BEN)
    shared.later(minutes=5)
    before = shared.last_reply()
    assert shared.schedule.tick() == 1
    assert [address for row, address, _ in shared.outbox() if row > before] == [address_of(ADA), address_of(BEN)]
    await shared.say("/mine", BEN)
    await shared.say("remind me in 5 minutes to stir", ADA)
    shared.later(minutes=5)
    before = shared.last_reply()
    shared.schedule.tick()
    assert [address for row, address, _ in shared.outbox() if row > before] == [address_of(ADA)]


async def test_answer_goes_only_to_who_asked(shared: Kitchen) -> None:
    before = shared.last_reply()
    await shared.say("gravity 1.050", BEN)
    assert [address for row, address, _ in shared.outbox() if row > before] == [address_of(BEN)]


async def test_guest_can_be_put_out_by_removal(shared: Kitchen) -> None:
    await shared.say("/remove 2")
    await shared.say("gravity 1.050", BEN)
    assert shared.gravities(ADA) == []


async def test_link_is_used_up_by_one_person(shared: Kitchen) -> None:
    link = token_in(await shared.say("/share"))
    await shared.say(f"/start {link}", ADA)
    assert "does not hold" in await shared.say(f"/start {link}", ADA)  # one's own is no use
    await shared.say(f"/start {link}", BEN)
    assert "does not hold" in await shared.say(f"/start {link}", BEN)


async def test_group_has_a_diary_of_its_own_for_its_people(shared: Kitchen) -> None:
    await shared.say("/mine", BEN)
    await shared.say("brew 5 litres of mild", ADA, GROUP, title="Sunday brewers")
    await shared.say("gravity 1.040", BEN, GROUP)
    state = shared.store.state(address_of(GROUP))
    assert [(batch.name, batch.readings[0].who) for batch in state.batches] == [("mild", "Ben")]
    assert [batch.name for batch in shared.state(ADA).batches] == ["brown ale"]


async def test_diary_shared_with_a_group(shared: Kitchen) -> None:
    link = token_in(await shared.say("/share"))
    assert "diary of Ada" in await shared.say(f"/start@potbot {link}", BEN, GROUP, title="Sunday brewers")
    await shared.say("gravity 1.047", BEN, GROUP)
    assert shared.gravities(ADA) == [1.047]
