"""Stock and money in plain words: bought, used, drawn down by brewing, priced, undone."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversations.intents import Measured
from conversations.session.costs import costs_of
from conversations.session.state import StockItem
from conversations.session.stock import take
from conversations.session.stock_items import fitting, kind_of, strength
from conversations.session.turn import Turn
from conversations.understanding.money import money_at
from conversations.understanding.numbers import number_items
from conversations.understanding.past import past_at
from conversations.understanding.quantities import quantity_items
from conversations.understanding.times import duration_items
from conversations.understanding.words import split
from tests.conversations.test_kit_session import START, Chat

TODAY = date(2026, 3, 14)


@pytest.mark.parametrize(
    ("said", "amount", "code"),
    [
        ("£9.50", 9.5, "GBP"),
        ("€ 9,50", 9.5, "EUR"),
        ("9.50 euro", 9.5, "EUR"),
        ("9.50€", 9.5, "EUR"),
        ("nine fifty", 9.5, ""),
        ("nine pounds fifty", 9.5, "GBP"),
        ("twelve ninety nine", 12.99, ""),
        ("9.50", 9.5, ""),
        ("80p", 0.8, "GBP"),
        ("80 pence", 0.8, "GBP"),
        ("80 cents", 0.8, ""),
        ("$12", 12.0, "USD"),
        ("five dollars", 5.0, "USD"),
        ("4 pounds", 4.0, "GBP"),
        ("three euros twenty", 3.2, "EUR"),
        ("120 sek", 120.0, "SEK"),
        ("twenty five", 25.0, ""),
    ],
)
def test_money_as_it_is_written_and_said(said: str, amount: float, code: str) -> None:
    items = duration_items(quantity_items(number_items(split(said)), "metric"))
    found = money_at(items, 0)
    assert found is not None
    assert (found[1], found[2]) == (pytest.approx(amount), code)


@pytest.mark.parametrize(
    ("said", "day"),
    [
        ("today", date(2026, 3, 14)),
        ("yesterday", date(2026, 3, 13)),
        ("last week", date(2026, 3, 7)),
        ("3 weeks ago", date(2026, 2, 21)),
        ("in january", date(2026, 1, 15)),
        ("in march", date(2026, 3, 14)),
        ("in april", date(2025, 4, 15)),
        ("on 3 may", date(2025, 5, 3)),
        ("on the 5th of march", date(2026, 3, 5)),
        ("in june 2024", date(2024, 6, 15)),
    ],
)
def test_days_gone_by(said: str, day: date) -> None:
    items = [item for item in duration_items(quantity_items(number_items(split(said)), "metric")) if item.word != "the"]
    found = past_at(items, 0, TODAY)
    assert found is not None
    assert found[1] == day


def stocked() -> Chat:
    chat = Chat()
    for text in (
        "currency pounds",
        "bought 5 kg pale malt for 9.50",
        "bought 500 g crystal malt for £2.40",
        "bought 100 g of Fuggle 4.8% for 3.20",
        "bought 2 sachets of dry english yeast for 7.80",
    ):
        assert "In stock" in chat.says(text) or "GBP" in chat.state.currency
    return chat


def left_of(chat: Chat, name: str) -> float:
    return sum(item.left.in_unit("gram") for item in chat.state.stock if name in item.name)


def brewed(chat: Chat) -> Chat:
    for text in (
        "brew 8 litres of alder bitter",
        "1.5 kg pale malt",
        "120 g crystal malt",
        "14 g Fuggle 4.8% at 60",
        "dry english yeast",
        "grain is in",
    ):
        chat.says(text)
    return chat


def test_brewing_draws_down_in_the_same_turn_and_undo_puts_it_back() -> None:
    chat = brewed(stocked())
    assert left_of(chat, "pale") == pytest.approx(3500)
    assert left_of(chat, "crystal") == pytest.approx(380)
    assert left_of(chat, "Fuggle") == pytest.approx(100)
    chat.says("undo")
    assert left_of(chat, "pale") == pytest.approx(5000)
    assert chat.state.batches[0].used == ()
    chat.says("grain is in")
    chat.says("bag out")
    assert left_of(chat, "pale") == pytest.approx(3500)
    chat.says("it's boiling")
    chat.says("hops in")
    assert left_of(chat, "Fuggle") == pytest.approx(86)


def test_cost_is_the_part_used_at_what_was_paid() -> None:
    chat = brewed(stocked())
    found = costs_of(chat.state.batches[0], chat.state)
    # Source: arithmetic on the prices told: 1.5 of 5 kg at 9.50, 120 of 500 g at 2.40, 14 of 100 g at 3.20.
    assert found.by_kind["grain"] == Decimal("2.85") + Decimal("0.576")
    assert found.by_kind["hop"] == Decimal("0.448")
    assert found.unpriced == ()
    said = chat.says("cost per pint")
    assert "a pint (imperial pint)" in said
    assert "a litre" in said


def test_bought_price_is_compared() -> None:
    chat = brewed(stocked())
    said = chat.says("what would it cost in the shop at 2.20 a bottle")
    # Source: 8 litres are 16 bottles of half a litre.
    assert "£35.20 bought" in said


def test_shopping_list_names_what_is_missing_only() -> None:
    chat = stocked()
    for text in ("brew 20 litres of alder bitter", "6 kg pale malt", "14 g Fuggle 4.8% at 60", "20 g Goldings at 10"):
        chat.says(text)
    said = chat.says("shopping list")
    assert "1.00 kg pale malt" in said
    assert "20 g Goldings" in said
    assert "Fuggle" not in said


def test_old_yeast_is_not_counted_on() -> None:
    chat = Chat()
    chat.says("bought 1 sachets of ale yeast for 4")
    chat.says("half a sachet left, opened in April")
    item = chat.state.stock[-1]
    assert item.left.in_unit("gram") == pytest.approx(5.5)
    assert item.opened == date(2025, 4, 15)
    assert strength(item, TODAY).spent
    for text in ("brew 8 litres of alder bitter", "1.6 kg pale malt", "ale yeast"):
        chat.says(text)
    assert "yeast" in chat.says("shopping list")


def test_another_money_is_asked_back_and_nothing_is_stored() -> None:
    chat = stocked()
    before = chat.state.stock
    assert "USD" in chat.says("bought 3 kg wheat malt for $4")
    assert chat.state.stock == before


@pytest.mark.parametrize("text", ["bought 0 kg pale malt for 3", "bought 9000 kg pale malt", "bought -2 kg pale malt for 4"])
def test_absurd_amounts_are_not_stored(text: str) -> None:
    chat = Chat()
    chat.says(text)
    assert chat.state.stock == ()


@pytest.mark.parametrize(
    ("name", "kind"),
    [("pale malt", "grain"), ("Fuggle", "hop"), ("dry english yeast", "yeast"), ("white sugar", "sugar"), ("crown caps", "other"), ("leaf hops", "hop")],
)
def test_kinds_by_name(name: str, kind: str) -> None:
    assert kind_of(name) == kind


def item(key: int, grams: float, price: str | None = None, opened: date | None = None, bought: date = TODAY) -> StockItem:
    mass = Measured(value=grams, unit="gram")
    return StockItem(key=str(key), kind="hop", name="Fuggle", bought=mass, left=mass, price=price, bought_on=bought, opened=opened)


def test_opened_first_then_oldest() -> None:
    stock = (item(1, 10), item(2, 10, bought=date(2025, 1, 1)), item(3, 10, opened=TODAY))
    assert [each.key for each in fitting(stock, "hop", "fuggles")] == ["3", "2", "1"]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0.5, 500), min_size=1, max_size=4), st.floats(0.1, 1500))
def test_what_is_taken_and_what_is_left_add_up(lots: list[float], want: float) -> None:
    chat = Chat()
    chat.state = chat.state.model_copy(
        update={"stock": tuple(item(k + 1, round(grams, 3), "2.00") for k, grams in enumerate(lots)), "next_id": 9}
    )
    turn = Turn(chat.state, START)
    before = sum(each.left.value for each in turn.state.stock)
    took, missing = take(turn, "hop", "Fuggle", Measured(value=round(want, 3), unit="gram"), None, "used")
    after = sum(each.left.value for each in turn.state.stock)
    taken = sum(each.amount.value for each in took)
    assert before - after == pytest.approx(taken, abs=1e-4)
    assert taken + (missing.value if missing else 0.0) == pytest.approx(round(want, 3), abs=1e-4)
    assert all(each.left.value >= 0 for each in turn.state.stock)
    cost = sum(Decimal(each.cost or "0") for each in took)
    assert cost <= Decimal("2.00") * len(lots) + Decimal("0.0001")


@pytest.mark.parametrize(
    ("said", "price"),
    # Source: five kilograms at 2.60 each are 13.00; at 1.30 for 500 g they cost the same.
    [("pale malt's gone up to 2.60 a kilo", "13.00"), ("pale malt is now 1.30 per 500 g", "13.00"), ("pale malt went up to 9.50", "9.5")],
)
def test_a_price_by_weight_is_the_price_of_all_that_was_bought(said: str, price: str) -> None:
    chat = Chat()
    chat.says("bought 5 kg pale malt for 9.00")
    chat.says(said)
    assert chat.state.stock[-1].price == price
