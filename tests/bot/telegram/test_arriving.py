"""What the messenger brings, reduced and made harmless before anything keeps it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from telegram import Bot

from bot.telegram.digest import Digest
from bot.telegram.housekeeping import NOTHING_KEPT, Housekeeping
from bot.telegram.polling import read_raw
from bot.telegram.settings import open_to_others
from bot.telegram.updates import LONGEST, Arrived
from tests.bot.telegram.kitchen import EVE, Kitchen
from tests.bot.telegram.test_settings import TOKEN


def update(**message: Any) -> dict[str, Any]:
    sender = {"id": 11, "is_bot": False, "first_name": "Ada"}
    whole = {"message_id": 5, "date": 1773480600, "chat": {"id": 11, "type": "private"}, "from": sender, **message}
    return {"update_id": 9, "message": whole}


def arrived(**message: Any) -> Arrived | None:
    return read_raw(update(**message), Bot(TOKEN))


async def test_a_token_in_a_message_is_not_kept(kitchen: Kitchen) -> None:
    found = arrived(text=f"is this right: {TOKEN}?")
    assert found is not None
    assert found.text == "is this right: [token]?"
    await kitchen.take(found)
    kitchen.store.fold_log()
    assert TOKEN.encode() not in kitchen.store.path.read_bytes()
    plain = arrived(text="at 12:30 gravity 1.050, 1200000:1 of it")
    assert plain is not None
    assert plain.text == "at 12:30 gravity 1.050, 1200000:1 of it"


def test_a_picture_sent_as_a_file_is_a_photo() -> None:
    sent = {"file_id": "big", "file_unique_id": "u", "file_size": 19_000_000}
    found = arrived(text=None, document={**sent, "mime_type": "image/jpeg"}, caption="gravity 1.050")
    assert found is not None
    assert (found.kind, found.file, found.size, found.text) == ("photo", "big", 19_000_000, "gravity 1.050")
    other = arrived(text=None, document={**sent, "mime_type": "application/zip"})
    assert other is not None
    assert other.kind == "other"


@pytest.mark.parametrize(
    "message",
    [
        {"text": 5},
        {"date": "yesterday"},
        {"date": 10**30},
        {"from": None},
        {"chat": {}},
        {"photo": [{"file_id": 1}]},
        {"voice": {"duration": "long"}},
        {"entities": "none"},
    ],
    ids=range(8),
)
def test_what_cannot_be_read_is_dropped_and_nothing_else(message: dict[str, Any]) -> None:
    found = arrived(**message)
    assert found is None or (found.text in ("", "5") and found.file in ("", "1"))
    assert arrived(text="gravity 1.050") is not None


async def test_half_a_letter_is_written_down_as_none(kitchen: Kitchen) -> None:
    # Found by attack: it could not be written to the inbox, so that it was fetched again and again, and nothing after it.
    found = arrived(text="gravity 1.050 \ud800")
    assert found is not None
    await kitchen.take(found)
    assert kitchen.gravities() == [1.050] or kitchen.last_reply() == 1


def test_long_texts_and_odd_names_are_cut_to_measure() -> None:
    odd = {"id": 11, "is_bot": False, "first_name": "A\n\u202e\x1b[2J" + "d" * 500}
    found = arrived(text="a" * 100_000, **{"from": odd})
    assert found is not None
    assert len(found.text) == LONGEST
    assert found.name.isprintable()
    assert len(found.name) <= 40


@pytest.mark.parametrize("sent", [datetime(1970, 1, 2, tzinfo=UTC), datetime(2038, 1, 20, tzinfo=UTC), datetime(9998, 1, 1, tzinfo=UTC)])
async def test_a_wrong_date_moves_no_clock(kitchen: Kitchen, sent: datetime) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("gravity 1.050", at=sent)
    (reading,) = kitchen.state().batches[0].readings
    assert abs(reading.at - kitchen.clock.now()) < timedelta(minutes=1)


async def test_what_strangers_send_is_gone_after_days(kitchen: Kitchen) -> None:
    for _ in range(20):
        await kitchen.say("x" * 4000, EVE)
    assert kitchen.store.rows("SELECT MAX(length(payload)) FROM inbox WHERE chat = ?", f"telegram:{EVE}") == [(0,)]
    house = Housekeeping(kitchen.store, kitchen.clock, Digest(kitchen.store, kitchen.access), 0, lambda *to: None, dict)
    house.tidy(kitchen.clock.now() + NOTHING_KEPT + timedelta(hours=1))
    assert kitchen.store.rows("SELECT COUNT(*) FROM inbox WHERE chat = ?", f"telegram:{EVE}") == [(0,)]


def test_a_settings_file_that_others_can_read_is_told(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text(f'telegram_token = "{TOKEN}"\n')
    file.chmod(0o644)
    (said,) = open_to_others(file)
    assert "chmod 600" in said
    assert TOKEN not in said
    file.chmod(0o600)
    assert open_to_others(file) == []
    assert open_to_others(tmp_path / "none.toml") == []
