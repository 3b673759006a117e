"""A changed message changes the record, through events."""

from __future__ import annotations

from tests.bot.telegram.kitchen import ADA, Kitchen


async def start(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")


async def test_newest_message_is_read_anew(kitchen: Kitchen) -> None:
    await start(kitchen)
    await kitchen.say("gravity 1.050", message=7)
    told = await kitchen.say("gravity 1.052", message=7, edited=True)
    assert told.startswith("Corrected:\n1.052")
    assert kitchen.gravities() == [1.052]
    await kitchen.say("note: windy", message=8)
    await kitchen.say("note: rainy", message=8, edited=True)
    assert kitchen.state().batches[0].notes == ("rainy",)


async def test_edited_twice(kitchen: Kitchen) -> None:
    await start(kitchen)
    await kitchen.say("gravity 1.050", message=7)
    await kitchen.say("gravity 1.052", message=7, edited=True)
    await kitchen.say("gravity 1.053", message=7, edited=True)
    assert kitchen.gravities() == [1.053]


async def test_older_message_is_mended_where_it_stands(kitchen: Kitchen) -> None:
    await start(kitchen)
    await kitchen.say("gravity 1.050", message=7)
    kitchen.later(minutes=40)
    await kitchen.say("volume 8 litres")
    at = kitchen.state().batches[0].readings[0].at
    told = await kitchen.say("gravity 1.055", message=7, edited=True)
    assert told == "Corrected: gravity 1.055 instead of 1.050, at 09:30."
    first, second = kitchen.state().batches[0].readings
    assert (round(first.value.value, 3), first.at) == (1.055, at)
    assert second.kind == "volume"
    kinds = [event.kind for _, _, event in kitchen.store.events("telegram:11")]
    assert kinds.count("reading") == 3  # the diary keeps what was there before
    assert kinds.count("reading_dropped") == 1
    await kitchen.say("undo")
    assert kitchen.gravities()[0] == 1.050


async def test_older_message_edited_a_second_time(kitchen: Kitchen) -> None:
    await start(kitchen)
    await kitchen.say("gravity 1.050", message=7)
    kitchen.later(minutes=1)
    await kitchen.say("volume 8 litres")
    await kitchen.say("gravity 1.055", message=7, edited=True)
    kitchen.later(minutes=1)
    await kitchen.say("volume 7.5 litres")
    await kitchen.say("gravity 1.056", message=7, edited=True)
    assert [(each.kind, round(each.value.value, 3)) for each in kitchen.state().batches[0].readings] == [
        ("gravity", 1.056), ("volume", 8.0), ("volume", 7.5),
    ]  # fmt: skip


async def test_change_that_is_not_understood_changes_nothing(kitchen: Kitchen) -> None:
    await start(kitchen)
    await kitchen.say("gravity 1.050", message=7)
    assert "earlier one stays" in await kitchen.say("gravty one point brrr", message=7, edited=True)
    assert kitchen.gravities() == [1.050]


async def test_impossible_value_is_refused(kitchen: Kitchen) -> None:
    await start(kitchen)
    await kitchen.say("gravity 1.050", message=7)
    await kitchen.say("volume 8 litres")
    assert "stays" in await kitchen.say("gravity 1.9", message=7, edited=True)
    assert kitchen.gravities()[0] == 1.050


async def test_changed_message_that_recorded_nothing_is_read_as_new(kitchen: Kitchen) -> None:
    await start(kitchen)
    await kitchen.say("grvity", message=7)
    await kitchen.say("gravity 1.050", message=7, edited=True)
    assert kitchen.gravities() == [1.050]


async def test_taken_back_reading_is_not_brought_back_by_an_edit(kitchen: Kitchen) -> None:
    await start(kitchen)
    await kitchen.say("gravity 1.050", message=7)
    await kitchen.say("undo")
    await kitchen.say("volume 8 litres")
    await kitchen.say("gravity 1.051", message=7, edited=True)
    assert [each.kind for each in kitchen.state(ADA).batches[0].readings] == ["volume"]
