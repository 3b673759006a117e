"""Questions that a fresh person asked over whole days and the weeks after: the answer is of what was asked, and keeps nothing."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, recorded

ASKED = (
    ("plan", "can I swap the fuggle for something else", "old grams times old alpha"),
    ("plan", "is 5% alpha a lot", "aroma hop"),
    ("plan", "which bits need sanitising", "touches wort after it has cooled"),
    ("plan", "do the hops need crushing", "hops go in as they are"),
    ("heat", "what if it goes over 71", "Hob off"),
    ("heat", "do I put the bag in before the grain", "Bag first"),
    ("heat", "lid on while heating?", "heats faster"),
    ("mash", "do I keep the hob on", "Off: lid on"),
    ("mash", "how do I know there's sugar in it", "cooled spoonful"),
    ("mash", "lid on or off for the mash", "wrapped in towels"),
    ("mash", "smells like porridge, normal?", "how a mash should smell"),
    ("mash", "can I taste it", "cooled spoonful"),
    ("drain", "how long do I let it drip", "10 to 15 minutes"),
    ("drain", "what do I do with the grain now", "compost"),
    ("drain", "gravity's low what now", "boil longer"),
    ("boil", "there's brown gunk on top", "falls back as it boils"),
    ("boil", "does the lid stay off", "Off for the boil"),
    ("boil", "how much will be left at the end", "into the fermenter"),
    ("boil", "can I turn it down a bit", "keep moving"),
    ("steep", "does it get more bitter while it stands", "above about 80 °C"),
    ("steep", "lid on now?", "nothing should fall in"),
    ("transfer", "should I splash it about", "once the wort is cool"),
    ("transfer", "how do I take a gravity", "read at the flat of the liquid"),
    ("pitch", "do I stir the yeast in", "no stirring needed"),
    ("pitch", "what if I forgot to aerate", "just after pitching"),
    ("ferment", "can I open it for a look", "lets in air"),
    ("ferment", "what gravity am I waiting for", "when it is done"),
    ("ferment", "tastes watery, is that normal", "young beer tastes thin"),
    ("bottle", "how full do I fill them", "2 to 3 cm"),
    ("bottle", "can I reuse old beer bottles", "unchipped"),
    ("bottle", "what if the gravity is still dropping", "Do not bottle"),
    ("condition", "when will they be fizzy", "2 weeks near 20 °C"),
    ("condition", "can I put them in the fridge yet", "fizzy"),
    ("condition", "one was flat, what do I do", "2 more weeks"),
    ("condition", "how long do they keep", "3 to 6 months"),
    ("heat", "is it safe to leave the gas on", "hob off first"),
    ("pitch", "what if I don't have an airlock", "Never close it tight"),
    ("ferment", "is it safe to sleep in the same room", "CO2"),
    ("ferment", "lid popped off", "sanitise lid and airlock"),
    ("ferment", "airlock dried out", "half full again"),
    ("ferment", "is my beer ruined", "Tell me what happened"),
    ("ferment", "how often should I check it", "every two or three"),
    ("bottle", "one bottle is chipped", "Do not fill it"),
    ("bottle", "forgot the sugar", "twice the sugar bursts bottles"),
    ("condition", "is it safe to drink", "nothing that harms people grows"),
    ("condition", "how do I pour it", "pour in one go"),
)


@pytest.mark.parametrize(("stage", "text", "answer"), ASKED)
def test_what_a_fresh_person_asks_is_answered(stage: str, text: str, answer: str) -> None:
    chat = at_stage(stage)
    assert not recorded(chat, text)
    assert answer in chat.says(text)


def test_how_long_until_cool_asks_for_temperatures_and_then_reckons() -> None:
    chat = at_stage("chill")
    assert "Send its temperature now and then" in chat.says("how long till it's cool")
    chat.says("70 degrees")
    chat.waits(10 / 1440)
    chat.says("50 degrees")
    assert "more to 20 °C" in chat.says("how long till it's cool")


@pytest.mark.parametrize(
    ("stage", "text", "never"),
    [
        ("bottle", "how much sugar", "cooled spoonful"),
        ("condition", "can I taste it", "There is no alcohol in it yet"),
        ("ferment", "when can I drink it", "lets in air"),
        ("condition", "when will it be ready", "3 to 6 months"),
        ("drain", "what do I do now", "compost"),
        ("plan", "is it legal to brew beer at home", "unchipped"),
        ("ferment", "gravity dropped to 1.015", "Do not bottle. Wait"),
        ("boil", "what's next", "read at the flat"),
    ("bottle", "chips for tea", "Do not fill it"),
    ("ferment", "airlock stopped", "half full again"),
    ("bottle", "how much sugar did I forget to write down", "twice the sugar"),
    ("condition", "when can I drink it", "nothing that harms people"),
    ],
)
def test_what_was_answered_rightly_before_still_is(stage: str, text: str, never: str) -> None:
    assert never not in at_stage(stage).says(text)
