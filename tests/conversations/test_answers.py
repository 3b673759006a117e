"""Short answers about the trade: each is found by its own questions, and nothing else brings one up."""

from __future__ import annotations

import pytest

from conversations.understanding.answers import answers, examples, find_answer

# Written before the scoring was tuned, by the same hand as the data. Common practice, no source
PARAPHRASES = [
    ("will I get tannins if I press the grain bag?", "squeeze_bag"),
    ("there's loads of foam from the sanitiser, is that ok", "sanitiser_foam"),
    ("help the airlock isn't doing anything", "no_airlock"),
    ("beer looks really murky, is that bad?", "cloudy_beer"),
    ("fermenter stinks of sulfur", "smell_sulphur"),
    ("strong banana flavour, what went wrong", "smell_banana"),
    ("it has a buttery taste", "smell_butter"),
    ("tastes a bit like cardboard", "smell_cardboard"),
    ("the gravity seems to have stalled", "stuck_gravity"),
    ("bucket is getting a bit hot, what can I do?", "too_warm"),
    ("weird white film floating on the surface", "infection_skin"),
    ("furry stuff growing on my beer", "mould"),
    ("is it too early for bottling?", "safe_to_bottle"),
    ("the beer turns into a fountain when I open it", "gushers"),
    ("bottled two weeks ago and there's no fizz", "flat_beer"),
    ("can i reuse wine bottles", "bottle_types"),
    ("lid on or off when boiling?", "lid_boil"),
    ("don't have a scale, what now", "no_scale"),
    ("oh no the mash is way too hot", "mash_hot"),
    ("do i have to rehydrate the yeast first", "rehydrate"),
    ("this yeast expired last year, ok to use?", "old_yeast"),
    ("how do I get chlorine out of the tap water", "water_chlorine"),
    ("is it okay to drop the hydrometer into hot wort", "hot_hydrometer"),
    ("can my cat eat spent grains?", "pets_hops"),
    ("am i allowed to sell the beer I brew", "law_age"),
]

NEGATIVES = [
    "gravity 1.050", "67 degrees", "hops in", "hops in, 98 degrees, six litres", "mash is 67", "it's 1.052 at 20",
    "yeast pitched at 20 degrees", "boil started", "lid on", "hello", "thanks, that was great", "good morning",
    "what's for dinner", "who won the football last night", "tell me a joke", "how are you", "what is the time",
    "set a timer for twenty minutes", "how long on the hops", "add five minutes to the mash", "pause the timer",
    "remind me at half past seven", "no, 1.052", "make that 6", "same again", "undo that", "what about 10 litres",
    "6 litres in the fermenter", "how much water do I need", "how strong is it", "bottled 12 bottles",
    "start a new batch", "show me the recipe", "yes", "what did you understand", "I love my dog", "grain in at 12:30",
    "how do I fix my bicycle", "what is the capital of France", "asdf qwer zxcv", "bag out", "mash at 68 for an hour",
    "dry hops in", "mash is at 70 degrees now", "drained 8 litres, gravity 1.048 hot", "", "?!", "fermenter at 19",
    "remind me to dry hop on friday", "cancel the dry hop reminder", "set original gravity to high",
    "how long left on the mash?", "how long is left on the boil", "I am adding the late hops now", "adding the sugar",
    "my thermometer is broken", "the mash is cold at 58", "fermentation is finished", "how warm is it",
    "what temperature is the mash", "what temperature is the fermenter",
    "original gravity was ten forty, a bit low", "wort gravity 1.048 hot", "12 bottles filled, glass ones",
]


def test_there_are_eighty_or_more() -> None:
    assert len(answers()) >= 80


@pytest.mark.parametrize("key", sorted(answers()))
def test_every_example_question_finds_its_own_answer(key: str) -> None:
    asked = examples()[key]
    assert len(asked) >= 3
    found = {question: getattr(find_answer(question), "key", None) for question in asked}
    assert found == dict.fromkeys(asked, key)


@pytest.mark.parametrize("key", sorted(answers()))
def test_each_answer_is_short_and_has_a_source(key: str) -> None:
    answer = answers()[key]
    lines = answer.text.split("\n")
    assert answer.source.strip()
    assert 1 <= len(lines) <= 3
    assert max(len(line) for line in [*lines, answer.caution]) <= 100
    assert "\n" not in answer.caution


@pytest.mark.parametrize(("text", "key"), PARAPHRASES)
def test_other_words_find_the_same_answer(text: str, key: str) -> None:
    found = find_answer(text)
    assert found is not None
    assert found.key == key


@pytest.mark.parametrize(
    ("text", "key"),
    [("my beer is clowdy", "cloudy_beer"), ("can i sqeeze the bag", "squeeze_bag"), ("sanitser foam?", "sanitiser_foam")],
)
def test_slips_of_typing_are_forgiven(text: str, key: str) -> None:
    found = find_answer(text)
    assert found is not None
    assert found.key == key


@pytest.mark.parametrize(
    ("text", "key"), [("my dog ate 20 g of hops", "pets_hops"), ("2 bottles exploded just now", "bottle_bombs")]
)
def test_a_hazard_told_with_figures_is_still_answered(text: str, key: str) -> None:
    found = find_answer(text)
    assert found is not None
    assert found.key == key


@pytest.mark.parametrize("text", NEGATIVES)
def test_readings_commands_and_chat_find_nothing(text: str) -> None:
    assert find_answer(text) is None


def test_glass_is_kept_out_of_hot_wort() -> None:
    found = find_answer("can I put the hydrometer in hot wort")
    assert found is not None
    assert "never float glass in hot wort" in found.caution.lower()
