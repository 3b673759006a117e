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
        ("plan", "is of no use"),
    ],
)
def test_what_is_told_of_others_records_nothing(stage: str, text: str) -> None:
    assert not [name for name in names(text, stage) if name.startswith(("reading.", "done.", "look.", "tasting.", "kit.", "recipe.", "no"))]
