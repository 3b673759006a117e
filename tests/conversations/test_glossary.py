"""What is a hydrometer: the words of the trade and the things of the kit, each with where the words come from."""

from __future__ import annotations

import pytest

from conversations.understanding.answers import find_answer
from conversations.understanding.glossary import defined, terms
from tests.conversations.brew_day import at_stage
from tests.conversations.weeks import Chat, pitched

LEAST = [
    "thermometer", "hydrometer", "airlock", "trub", "krausen", "wort", "gravity", "original gravity", "final gravity", "attenuation", "IBU", "EBC", "alpha acid", "strike water",
    "sparge", "priming", "flame-out", "mash tun", "boil-off", "dead space", "efficiency", "grist", "hops", "dry hopping", "hop stand", "whirlpool", "pitching", "lag phase",
    "flocculation", "racking", "siphon", "fermenter", "conditioning", "carbonation", "residual CO2", "crown cap", "bottling wand", "sanitiser", "finings", "cold crash", "warm rest",
    "diacetyl", "Plato", "Brix", "ABV", "BIAB", "dipstick", "trial jar", "gypsum", "mash pH", "campden tablet", "body", "refractometer", "hot break", "base malt", "crystal malt",
]  # fmt: skip


@pytest.mark.parametrize("word", LEAST)
@pytest.mark.parametrize("form", ["what is a {}", "what does {} mean?", "whats a {} for", "explain {}", "quick one: what do you mean by {}", "I don't know what {} is", "wots a {}"])
def test_a_word_of_the_trade_is_explained(word: str, form: str) -> None:
    found = defined(form.format(word), certain=True)
    assert found is not None
    assert found == terms()[" ".join(word.lower().replace("-", " ").split())]
    assert 1 <= len(found.text.splitlines()) <= 2
    assert all(len(line) <= 150 for line in found.text.splitlines())
    assert found.source


@pytest.mark.parametrize("stage", [None, "mash", "ferment"])
def test_it_is_answered_at_any_stage_and_records_nothing(stage: str | None) -> None:
    chat = pitched() if stage == "ferment" else Chat()
    if stage == "mash":
        chat.says("brew 5 litres of Stair bitter", "1.1 kg pale malt", "mashed in")
    before = chat.state.batches
    assert "floats" in chat.says("what is a hydrometer?")
    assert "Common practice" in chat.says("why")
    assert chat.state.batches == before


@pytest.mark.parametrize("asked", ["what is the original gravity", "what's the gravity", "what is the strike temperature", "what is the plan", "what is the boil-off"])
def test_the_batch_s_own_figure_is_not_explained_away(asked: str) -> None:
    assert defined(asked, certain=True) is None
    chat = Chat()
    chat.says("brew 5 litres of Stair bitter", "1.1 kg pale malt", "10 g Fuggle 5% at 60")
    answer = chat.says(asked)
    assert not any(answer == meant.text for meant in terms().values())


@pytest.mark.parametrize(
    "asked",
    [
        "whats mash efficiency", "whats efficiency", "whats brewhouse efficiency", "whats dry hopping", "what is bottle conditioning", "whats yeast starter", "what is a mash tun", "whats mash tun",
        "whats hop stand", "what's pitching rate", "whats esters", "whats bitterness units", "whats gypsum",
    ],
)  # fmt: skip
@pytest.mark.parametrize("stage", ["mash", "ferment"])
def test_what_no_batch_has_a_figure_of_is_explained_without_an_article(stage: str, asked: str) -> None:
    found = defined(asked, certain=True)
    assert found is not None
    assert at_stage(stage).says(asked) == found.text


@pytest.mark.parametrize("asked", ["what is the efficiency", "whats the dry hopping", "whats gravity", "what's the pitching rate", "whats abv", "whats fermenting"])
def test_what_a_batch_has_of_its_own_is_not_taken_for_its_word(asked: str) -> None:
    assert defined(asked, certain=True) is None


@pytest.mark.parametrize("said", ["what is a good price", "what a day", "what is the timer for the eggs", "the hydrometer is broken", "what is a hydrometer doing in the sink, and the mash is at 66"])
def test_other_words_are_not_explained(said: str) -> None:
    assert defined(said, certain=False) is None


def test_a_bare_word_with_a_question_mark() -> None:
    found = find_answer("krausen?")
    assert found is not None
    assert found.key == "krausen"

