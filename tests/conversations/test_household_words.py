"""What a message means is not changed by words of a region, by where a thing was bought, or by talk beside it. Wordings written for these tests."""

from __future__ import annotations

import pytest

from conversations.understanding.beyond_sentences import read
from tests.conversations.corpus import read_message


def names(text: str, stage: str) -> list[str]:
    """The intents of one message."""
    message = read_message({"text": text, "stage": stage, "style": "typed", "means": ["ask.next"]})
    found = read(message.text, message.context)
    return [each.name for each in found.intents]


@pytest.mark.parametrize(
    ("stage", "text", "meant"),
    [
        ("drain", "didn't squeeze it mind", ["done.squeezed"]),
        ("mash", "watters at 66c", ["reading.temperature"]),
        ("prepare", "wor hob is 2.2 kW", ["kit.hob_power"]),
        ("plan", "swap the fuggle for first gold abeg", ["recipe.swap"]),
        ("plan", "got 100 g of saaz for £4.50 off the lad in the shop", ["stock.bought"]),
        ("prepare", "my pan has 24 cm of diameter and is of steel", ["kit.pot", "kit.material"]),
        ("condition", "down the local a pint is four pounds sixty", ["cost.compare"]),
        ("plan", "we lose bout 2 litres an hour boiling", ["kit.boil_off"]),
        ("plan", "citras 11%", ["recipe.alpha"]),
        ("heat", "mashed in 67.2", ["done.grain_in", "reading.temperature"]),
        ("heat", "i put the grain, is 66.1 now", ["done.grain_in", "reading.temperature"]),
        ("drain", "i squeeze the bag, 5.5 litres now", ["done.squeezed", "reading.volume"]),
        ("prepare", "i squeeze the bag", ["kit.squeeze"]),
        ("ferment", "airlocks bubbling, 19 degrees", ["look.alive", "reading.temperature"]),
        ("condition", "a pint at our local is four pounds ninety", ["cost.compare"]),
        ("condition", "every bottle's been drunk, close the batch please", ["batch.close"]),
        ("plan", "1.2 kg extra pale malt", ["recipe.grain"]),
        ("plan", "flaked oats down to 90 g instead of 120 g", ["recipe.amount"]),
        ("plan", "we want 2 kg of pale malt in it", ["recipe.grain"]),
        ("plan", "I'd like to start my first brew, a mild, 5 litres if that's ok?", ["brew.start"]),
        ("prepare", "we live up at 900 m altitude", ["kit.altitude"]),
        ("prepare", "the fermenter volume is 9 litres", ["kit.fermenter_volume"]),
        ("heat", "what strike temperature for sixty six degrees", ["ask.strike"]),
        ("boil", "how long has it been on the boil", ["ask.since"]),
        ("boil", "give us a shout in ten minutes to put the last hops in", ["reminder.set"]),
        ("mash", "The mash is at 62 degrees, which is too cold. What should I do?", ["ask.correct_mash"]),
        ("condition", "in our pub a pint's five pounds thirty is mine any cheaper", ["cost.compare"]),
        ("boil", "twelve grams of saaz are in set fifteen minutes please", ["done.hops", "timer.start"]),
    ],
)
def test_words_of_a_region_and_where_it_was_bought_change_nothing(stage: str, text: str, meant: list[str]) -> None:
    assert names(text, stage) == meant


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        ("ferment", "my gran made elderflower wine in the bath, no airlock nothing"),
        ("condition", "our kid made one in a dustbin and it tasted of plastic"),
        ("condition", "a bloke at work brewed twenty litres of cider and it tasted like vinegar"),
        ("plan", "do you mind"),
        ("plan", "nothing moving on this street all night"),
        ("heat", "she's gone to find her lucky hat"),
        ("heat", "mashed in 20 minutes at his place"),
        ("plan", "a pint of milk in the shop is dear"),
        ("plan", "is of no use"),
    ],
)
def test_what_is_told_of_others_records_nothing(stage: str, text: str) -> None:
    assert not [name for name in names(text, stage) if name.startswith(("reading.", "done.", "look.", "tasting.", "kit.", "recipe.", "diary.", "no"))]


@pytest.mark.parametrize("text", ["no, gravity 1.044", "no the gravity's one oh four four", "naw, gravity was 1044"])
def test_a_reading_that_is_named_anew_is_put_right(text: str) -> None:
    message = read_message({"text": text, "stage": "drain", "style": "typed", "last": "reading.gravity gravity=1.040", "means": ["correct value=1.044"]})
    [intent] = read(message.text, message.context).intents
    assert (intent.name, round(intent.slots["value"], 4)) == ("correct", 1.044)


@pytest.mark.parametrize("text", ["no gravity yet", "no gravity reading today", "no volume marks on it"])
def test_what_there_is_none_of_puts_nothing_right(text: str) -> None:
    message = read_message({"text": text, "stage": "drain", "style": "typed", "last": "reading.gravity gravity=1.040", "means": ["correct value=1.044"]})
    assert not read(message.text, message.context).intents


@pytest.mark.parametrize(("text", "count"), [("filled fourteen one pint bottles", 14), ("filled twenty one pint bottles", 21)])
def test_one_before_a_size_is_no_part_of_the_count(text: str, count: int) -> None:
    message = read_message({"text": text, "stage": "bottle", "style": "dictated", "means": ["ask.next"]})
    [intent] = read(message.text, message.context).intents
    assert (intent.name, intent.slots["count"]) == ("bottle.count", count)


@pytest.mark.parametrize("text", ["should I put boiling water in, half a litre", "I'll put boiling water in, half a litre", "shall I add more water, 0.5 l", "we'll pour some cold water in, maybe a litre"])
def test_water_that_is_not_in_yet_is_no_volume_of_the_pot(text: str) -> None:
    assert not [name for name in names(text, "mash") if name.startswith(("reading.", "done."))]


@pytest.mark.parametrize("text", ["only 5.5 litres, should I add water", "shall I add water, it's 5.5 litres"])
def test_what_is_in_the_pot_is_read_beside_that_question(text: str) -> None:
    assert "reading.volume" in names(text, "drain")
