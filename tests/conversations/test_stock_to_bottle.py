"""Dates on packets, and what bottling takes off the shelf in the same turn."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from conversations.understanding.best_before import date_at
from conversations.understanding.numbers import number_items
from conversations.understanding.quantities import quantity_items
from conversations.understanding.times import duration_items
from conversations.understanding.words import split
from tests.conversations.test_kit_session import Chat

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("said", "day"),
    [
        # Source: Regulation (EU) No 1169/2011, Annex X: month and year alone are "best before end" of that month.
        ("06/2027", date(2027, 6, 30)),
        ("02/28", date(2028, 2, 29)),
        ("June 2027", date(2027, 6, 30)),
        ("end of June", date(2027, 6, 30)),
        # The careful side of "before June".
        ("June", date(2027, 6, 1)),
        ("December", date(2026, 12, 1)),
        ("November", date(2026, 11, 30)),
        ("30.06.2027", date(2027, 6, 30)),
        ("30/6/27", date(2027, 6, 30)),
        ("6/30/2027", date(2027, 6, 30)),
        ("2027-06-30", date(2027, 6, 30)),
        ("3rd of June 2027", date(2027, 6, 3)),
        ("June 3", date(2027, 6, 3)),
        ("june next year", date(2027, 6, 30)),
        ("next May", date(2027, 5, 1)),
        ("03/2026", date(2026, 3, 31)),
    ],
)
def test_dates_as_they_stand_on_a_packet(said: str, day: date) -> None:
    items = duration_items(quantity_items(number_items(split(said)), "metric"))
    found = date_at(said, items, 0, TODAY)
    assert found is not None
    assert found == (len(items), day)


@pytest.mark.parametrize("said", ["31/02/2027", "13/2027", "45.45.2027", "soon", "06/2099"])
def test_what_is_no_date_is_none(said: str) -> None:
    items = duration_items(quantity_items(number_items(split(said)), "metric"))
    assert date_at(said, items, 0, TODAY) is None


def test_a_date_told_later_stands_on_what_is_named() -> None:
    chat = Chat()
    for text in ("bought 100 g Goldings 5.5% for 4", "bought 50 g Saaz 3% for 3", "bought an 11 g sachet of ale yeast for 3"):
        chat.says(text)
    assert "Goldings, Saaz: best before 1 June" in chat.says("the hops are best before June")
    chat.says("the Saaz is best before 09/2026")
    dates = {item.name: item.best_before for item in chat.state.stock}
    assert dates == {"Goldings": date(2026, 6, 1), "Saaz": date(2026, 9, 30), "ale yeast": None}
    chat.says("bought 30 g Perle 7% for 2")
    assert "Perle: best before 31 December" in chat.says("best before 2026-12-31"), "what was spoken of last"
    assert "No wheat malt is in stock" in chat.says("the wheat malt is best before June")


def test_a_date_told_with_the_buying_is_kept() -> None:
    chat = Chat()
    assert "best before 30 June 2026" in chat.says("bought 5 kg pale malt for 9.50, best before 06/2026")
    assert chat.state.stock[0].best_before == date(2026, 6, 30)


def finished(*bought: str) -> Chat:
    """A batch that is ready to be bottled, with things in stock."""
    chat = Chat()
    for text in (*bought, "brew 5 litres of bitter", "1 kg pale malt", "12 g Goldings 5% at 60", "grain is in", "chilled", "5 l, gravity 1.043", "yeast is in"):
        chat.says(text)
    for days in (9, 3):
        chat.now += timedelta(days=days)
        chat.says("gravity 1.011")
    chat.says("next")
    return chat


def left(chat: Chat, name: str) -> float:
    return next(item.left.value for item in chat.state.stock if item.name == name)


def test_bottling_takes_sugar_and_caps_in_the_same_turn_and_undo_brings_them_back() -> None:
    chat = finished("bought 1000 g sugar for 1.40", "bought 100 crown caps for 2.50")
    # The line that told the sugar and what leaves the shelf are the same number.
    grams = float(chat.says("10 500 ml").split("Sugar: ")[1].split(" g")[0])
    assert left(chat, "sugar") == 1000
    chat.says("bottled")
    assert left(chat, "sugar") == pytest.approx(1000 - grams, abs=0.6)
    assert left(chat, "crown caps") == 90
    assert {used.name for used in chat.state.batches[-1].used} == {"sugar", "crown caps"}
    chat.says("undo")
    assert (left(chat, "sugar"), left(chat, "crown caps")) == (1000, 100)


def test_bottles_told_after_the_fact_take_their_caps_once() -> None:
    chat = finished("bought 100 crown caps for 2.50")
    chat.says("bottled")
    assert left(chat, "crown caps") == 100
    chat.says("10 500 ml")
    assert left(chat, "crown caps") == 90
    chat.says("10 500 ml and 2 330 ml")
    assert left(chat, "crown caps") == 88


def test_swing_tops_take_no_caps_and_another_sugar_is_left_alone() -> None:
    chat = finished("bought 1000 g dextrose for 2", "bought 100 crown caps for 2.50", "bought 1000 g sugar for 1.40")
    chat.says("10 500 ml")
    chat.says("swing tops")
    chat.says("prime with dextrose")
    chat.says("bottled")
    assert left(chat, "crown caps") == 100
    assert left(chat, "sugar") == 1000
    assert left(chat, "dextrose") < 980
