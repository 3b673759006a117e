"""Who may talk: pairing, invitations, removal, strangers."""

from __future__ import annotations

from pathlib import Path

from bot.telegram.access import TRIES, TRIES_IN_ALL
from bot.telegram.household import NEUTRAL
from tests.bot.telegram.kitchen import ADA, BEN, EVE, GROUP, NAMES, Kitchen


def token_in(text: str) -> str:
    return next(word for word in text.split() if "=" in word).rpartition("=")[2]


async def test_nobody_until_the_code_is_sent(tmp_path: Path) -> None:
    kitchen = Kitchen(tmp_path / "d.db", paired=False)
    code = kitchen.access.pairing_code()
    assert code is not None
    assert kitchen.access.pairing_code() == code  # the same after a restart
    assert "private" in await kitchen.say("let's brew", ADA)
    assert await kitchen.say("let's brew", ADA) == ""
    assert "owner" in await kitchen.say(f"/start {code}", ADA)
    assert kitchen.access.pairing_code() is None
    assert kitchen.access.pair(BEN, "Ben", code, kitchen.clock.now()) is False
    assert await kitchen.say("gravity 1.050", ADA) != ""


async def test_code_in_small_letters_and_spaces_holds(tmp_path: Path) -> None:
    kitchen = Kitchen(tmp_path / "d.db", paired=False)
    code = (kitchen.access.pairing_code() or "").lower().replace("-", " ")
    assert "owner" in await kitchen.say(code, BEN)


async def test_guessing_codes_ends(tmp_path: Path) -> None:
    kitchen = Kitchen(tmp_path / "d.db", paired=False)
    code = kitchen.access.pairing_code() or ""
    wrong = "AAAA-AAAA" if code != "AAAA-AAAA" else "BBBB-BBBB"
    for _ in range(TRIES):
        await kitchen.say(wrong, EVE)
    await kitchen.say(code, EVE)
    assert kitchen.access.person(EVE) is None
    for guesser in range(1000, 1000 + TRIES_IN_ALL):
        NAMES[guesser] = "G"
        await kitchen.say(wrong, guesser)
    assert kitchen.access.pairing_code() != code


async def test_stranger_gets_one_line_and_is_counted(kitchen: Kitchen) -> None:
    assert await kitchen.say("hello", EVE) == NEUTRAL
    for text in ("hello?", "/start", "/start sAAAAAAAAAAAAAAAAAAAAAA", "gravity 1.050", "x" * 4096, "\x00\x1b[2J", "/people"):
        assert await kitchen.say(text, EVE) == ""
    assert kitchen.access.strangers() == (1, 8)
    assert kitchen.store.events("telegram:99") == []
    assert await kitchen.take(kitchen.arrived("photo", EVE, file="f")) == []
    assert not (kitchen.store.path.with_suffix(".files")).exists()


async def test_stranger_in_a_group_gets_nothing_and_sees_no_diary(kitchen: Kitchen) -> None:
    assert "1.050" in await kitchen.say("gravity 1.050", ADA, GROUP, title="Kitchen")
    assert await kitchen.say("show the diary", EVE, GROUP) == ""
    assert await kitchen.say("undo", EVE, GROUP) == ""


async def test_invitation_works_once_and_for_one_person(kitchen: Kitchen) -> None:
    token = token_in(await kitchen.say("/invite"))
    assert "Welcome" in await kitchen.say(f"/start {token}", BEN)
    assert await kitchen.say(f"/start {token}", EVE) == NEUTRAL
    assert kitchen.access.person(EVE) is None
    assert "does not hold" in await kitchen.say(f"/start {token}", BEN)


async def test_invitation_expires(kitchen: Kitchen) -> None:
    token = token_in(await kitchen.say("/invite"))
    kitchen.later(hours=25)
    assert await kitchen.say(f"/start {token}", BEN) == NEUTRAL


async def test_only_the_owner_invites_and_removes(kitchen: Kitchen) -> None:
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    for text in ("/invite", "/people", "/remove 1", "/remove 2"):
        assert "Only the owner" in await kitchen.say(text, BEN)
    assert "Ben" in await kitchen.say("/people")
    assert "nobody" in (await kitchen.say("/remove 1")).lower()
    assert "removed" in await kitchen.say("/remove 2")
    assert await kitchen.say("gravity 1.050", BEN) == ""
    assert kitchen.store.unsent("telegram:12") == []


async def test_removed_person_gets_no_reminders_and_their_links_die(kitchen: Kitchen) -> None:
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    link = token_in(await kitchen.say("/share", BEN))
    await kitchen.say("remind me in 5 minutes to stir", BEN)
    await kitchen.say("/remove 2")
    kitchen.later(minutes=6)
    kitchen.schedule.tick()
    assert kitchen.woken == []
    assert "does not hold" in await kitchen.say(f"/start {link}")


async def test_link_of_a_member_brings_in_no_stranger(kitchen: Kitchen) -> None:
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    link = token_in(await kitchen.say("/share", BEN))
    assert await kitchen.say(f"/start {link}", EVE) == NEUTRAL
    assert "diary of Ben" in await kitchen.say(f"/start {link}", ADA)


async def test_new_owner_from_the_console(kitchen: Kitchen) -> None:
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    kitchen.access.depose()
    assert "Only the owner" in await kitchen.say("/invite", ADA)
    code = kitchen.access.pairing_code() or ""
    assert "owner" in await kitchen.say(code, BEN)
    assert [(person.id, person.role) for person in kitchen.access.people()] == [(BEN, "owner"), (ADA, "member")]
    assert "1.050" in await kitchen.say("gravity 1.050", ADA)
