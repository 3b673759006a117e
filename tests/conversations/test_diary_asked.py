"""The diary asked in other words: over a time, of a named batch, the last few, and what only sounds like a question of it."""

from __future__ import annotations

from datetime import date

import pytest

from conversations.intents import Context
from conversations.understanding.periods import period_at
from conversations.understanding.rows import row_of
from tests.conversations.weeks import START, Chat


@pytest.fixture
def chat() -> Chat:
    """A porter of 10 January, a copper bitter of 10 February (bottled and tasted both), and a mild of March in the fermenter."""
    chat = Chat()
    rows = (("Hill porter", "brown malt", "Goldings", "69", "1.055", "black, roast, 9/10"),
            ("Copper bitter", "crystal malt", "Fuggle", "66", "1.044", "dry and hoppy, 6/10"))  # fmt: skip
    for name, malt, hop, mash, gravity, taste in rows:
        chat.says(f"brew 5 litres of {name}", "1.1 kg pale malt", f"100 g {malt}", f"12 g {hop} 5% at 60", "grain is in")
        chat.says(f"{mash} C", "chilled", f"5 litres, gravity {gravity} at 20 C", "transferred", "yeast is in")
        chat.says(f"note: {name} leaks at the tap")
        chat.waits(8)
        chat.says("gravity 1.012 at 20 C")
        chat.waits(3)
        chat.says("gravity 1.012 at 20 C", "next", "10 500 ml", "bottled")
        chat.waits(18)
        chat.says(f"tasting: {taste}")
        chat.waits(2)
    chat.says("brew 4 litres of Allotment mild", "0.8 kg mild malt", "grain is in", "65 C", "gravity 1.036 at 20 C", "yeast is in")
    chat.waits(1)
    return chat


def test_what_was_brewed_in_a_month(chat: Chat) -> None:
    assert chat.says("what did I brew in January").splitlines() == [
        "January 2026: 1 batch, 5.0 l.",
        "10 January 2026, Hill porter: 1.055 to 1.012, 5.7 %, 10 bottles, 9/10.",
    ]
    assert "Copper bitter" in chat.says("which beers did I make last month")
    assert chat.says("what did I brew in December").splitlines() == [
        "Nothing was begun in December 2025.",
        "The one after it: 10 January 2026, Hill porter.",
    ]


def test_what_happened_in_a_month(chat: Chat) -> None:
    assert chat.says("what happened in January").splitlines() == [
        "January 2026:",
        "Hill porter: begun 10 Jan, yeast in 10 Jan, bottled 21 Jan, 5 readings, 1 note.",
    ]


def test_totals_of_a_month_and_of_all(chat: Chat) -> None:
    assert chat.says("how many bottles did I fill in January").startswith("January 2026: 1 batch, 5.0 l brewed.\n10 bottles, 5.0 l.")
    assert chat.says("how many beers have I brewed in total").startswith("All together: 3 batches")
    assert "No price is known" in chat.says("how much did I spend this year")


def test_the_last_few(chat: Chat) -> None:
    lines = chat.says("show me the last two").splitlines()
    assert [line.split(",")[1].split(":")[0].strip() for line in lines] == ["Allotment mild", "Copper bitter"]
    assert len(chat.says("my last 3 brews").splitlines()) == 3


def test_questions_of_tasting_notes_record_none(chat: Chat) -> None:
    before = [batch.tastings for batch in chat.state.batches]
    for asked in ("tasting notes of the porter", "what did I think of the porter", "how did the porter taste"):
        assert "9/10; black, roast" in chat.says(asked), asked
    assert [batch.tastings for batch in chat.state.batches] == before
    assert "6/10" in chat.says("show me my tasting notes")


def test_a_note_of_tasting_that_begins_with_notes_of_is_kept(chat: Chat) -> None:
    chat.says("tasting: notes of caramel and toast, 7/10")
    assert chat.batch.tastings[-1].taste == "notes of caramel and toast"
    assert chat.batch.tastings[-1].score == 7


def test_showing_a_batch_does_not_turn_to_it(chat: Chat) -> None:
    current = chat.state.current
    assert chat.says("show me the porter").startswith("Hill porter, started 10.01.2026")
    assert chat.state.current == current


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        ("recipe of the porter", "100 g brown malt"),
        ("what was in the porter?", "100 g brown malt"),
        ("what hops were in the bitter", "12.0 g Fuggle"),
        ("how much crystal malt did I use in the bitter", "Copper bitter: 100 g crystal malt."),
        ("how much brown malt was in the porter", "Hill porter: 100 g brown malt."),
        ("notes of the bitter", "Copper bitter leaks at the tap"),
        ("when did I bottle the porter", "Hill porter: bottled Wednesday 21 January 2026"),
        ("when was the bitter bottled", "Copper bitter: bottled"),
        ("when did I brew the porter", "Hill porter: begun Saturday 10 January 2026"),
        ("how long did the porter ferment", "Hill porter: 11 days in the fermenter."),
        ("how many bottles of porter did I get", "Hill porter: 10 bottles."),
        ("how hot was the porter's mash", "Hill porter: mash temperature 69 °C."),
        ("mash temperature of copper bitter", "Copper bitter: mash temperature 66 °C."),
        ("how much did the porter cost", "no price is known"),
        ("which batches had Fuggle", "Copper bitter: 12.0 g Fuggle"),
        ("have I ever used Citra", "No batch in the diary has citra"),
        ("which was the worst", "Lowest: Copper bitter"),
        ("what's my strongest beer", "1. Hill porter"),
        ("what colour was the porter", "Hill porter"),
        ("how bitter was the porter", "Hill porter:"),
        ("what did I want to change next time", "Nothing was said for next time"),
        ("yesterday", "Allotment mild"),
        ("show me the photos of the porter", "No photo of Hill porter was sent."),
        ("diary of all batches", "Allotment mild: fermenting"),
    ],
)
def test_an_answer_is_of_the_batch_that_is_named(chat: Chat, asked: str, answer: str) -> None:
    before = chat.state
    assert answer in chat.says(asked)
    assert chat.state.batches == before.batches
    assert chat.state.current == before.current


def test_batches_are_compared_however_it_is_said(chat: Chat) -> None:
    for asked in ("what's the difference between the porter and the bitter", "which was stronger, the porter or the bitter"):
        assert chat.says(asked).splitlines()[0] == "Hill porter | Copper bitter", asked
    assert chat.says("compare this one with the porter").startswith("Allotment mild | Hill porter")
    assert chat.says("compare the porter with the porter").startswith("Both are Hill porter.")
    assert "Hill porter" not in chat.says("what is the difference between pale malt and crystal malt")


def test_another_beer_of_the_same_kind_of_word_is_not_meant() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Brown ale", "1 kg pale malt", "gravity 1.050 at 20 C")
    assert "No batch is called" in chat.says("what was the OG of the summer ale")


def test_a_day_is_told_whole_and_in_its_order() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Hill porter", "1.1 kg pale malt", "12 g Fuggle 5% at 60", "next", "next", "grain is in", "67.5 C")
    chat.says("no, 67", "bag out", "next", "it's boiling", "hops in", "flame out", "chilled", "gravity 1.050 at 20 C", "yeast is in")
    chat.says(*(f"note: number {k}" for k in range(6)))
    lines = [line[6:] for line in chat.says("today").splitlines()[2:]]
    places = [lines.index(each) for each in (
        "begun", "mash began", "mash: temperature 67 °C (corrected, was 67.5 °C)", "drain the bag began", "boil began", "transfer: gravity 1.050",
        "ferment began", "12.0 g Fuggle in", "note: number 5",
    ) if each in lines]  # fmt: skip
    assert len(places) >= 8
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("text", "first", "after"),
    [
        ("in march", "2026-03-01", "2026-04-01"),
        ("in december", "2025-12-01", "2026-01-01"),
        ("march 2025", "2025-03-01", "2025-04-01"),
        ("last month", "2026-04-01", "2026-05-01"),
        ("last year", "2025-01-01", "2026-01-01"),
        ("last december", "2025-12-01", "2026-01-01"),
        ("in winter", "2025-12-01", "2026-03-01"),
        ("over the summer", "2025-06-01", "2025-09-01"),
        ("last week", "2026-05-04", "2026-05-11"),
    ],
)
def test_periods(text: str, first: str, after: str) -> None:
    today = date(2026, 5, 13)
    items = [each for each in row_of(text, Context(now=START))[0] if each.word != "the"]
    found = period_at(items, 0, today)
    assert found is not None
    assert (found[1].isoformat(), found[2].isoformat()) == (first, after)


def test_a_day_of_a_month_is_no_period() -> None:
    assert period_at(row_of("march 3", Context(now=START))[0], 0, date(2026, 5, 13)) is None
