"""Shapes of sentences, sounds of words, and two engines that hear different words."""

import numpy as np
import pytest

from bot.speech.cleaning import clean
from bot.speech.commands import at_stage
from bot.speech.hear import ears_of
from bot.speech.likeness import alike, pieces, shape, shapes
from bot.speech.pocketsphinx_engine import Pocketsphinx
from bot.speech.port import RATE, Hypothesis, Situation
from bot.speech.second_opinion import distance, phones, spread
from bot.speech.what_is_said import drawn
from bot.speech.whisper_engine import Whisper
from conversations.hearing import Alternative, Ear, settle
from conversations.session.fold import EMPTY
from tests.bot.speech.conftest import NOW


def test_noise_heard_as_words_has_no_shape_that_is_said() -> None:
    known = set(shapes(drawn(Situation("mash"))))
    assert shape("the mash is at sixty four point five") in known
    assert shape("seventy degrees") in known
    assert shape("mash at sixty six for sixty revert") not in known
    assert shape("sixty degrees next back") not in known


def test_a_sentence_put_together_as_others_are_is_taken_for_one() -> None:
    """Nobody wrote the first down, and its pieces are said; what the ear makes of noise has pieces that are not."""
    known = set(shapes(drawn(Situation("plan"))))
    common = pieces(known)
    assert shape("twelve grams fuggle at sixty") not in known
    assert alike("twelve grams fuggle at sixty", known, common)
    assert alike("sixty seven degrees", known, common)
    assert not alike("sixty degrees next back", known, common)
    assert alike("one point five five litres", known, common), "figures are said twice"
    assert not alike("twelve grams fuggle at at sixty", known, common), "a word said twice"


def test_people_who_say_go_for_ten_litres_in_a_mash_are_asked() -> None:
    """What "go forward ten metres" was heard as; to go for a volume is said while planning."""
    known = set(shapes(drawn(Situation("mash"))))
    assert not alike("go for ten litres", known, pieces(known))


def test_what_is_only_typed_is_not_expected() -> None:
    lines = list(drawn(Situation("plan")))
    assert "next what" not in lines
    assert "next" in lines


def test_steady_noise_is_taken_out_and_the_tone_stays() -> None:
    """A tone of half a second in white noise 20 dB below it: how loud both are before and after is known."""
    draw = np.random.default_rng(5)
    time = np.arange(2 * RATE) / RATE
    tone = np.where((time > 0.7) & (time < 1.2), 0.3 * np.sin(2 * np.pi * 700 * time), 0.0)
    noise = 0.02 * draw.standard_normal(time.size)
    after = clean((tone + noise).astype(np.float32))
    assert after.shape == time.shape
    quiet, loud = time < 0.6, (time > 0.75) & (time < 1.15)
    assert np.std(after[quiet]) < 0.8 * np.std(noise[quiet])
    assert np.std(after[loud]) == pytest.approx(np.std(tone[loud]), rel=0.1)


@pytest.mark.parametrize("length", [1, 100, 512, 5000])
def test_short_sound_stays_as_long_as_it_is(length: int) -> None:
    assert clean(np.zeros(length, np.float32), 0.6).shape == (length,)


def test_words_that_sound_alike_are_near() -> None:
    near, far = phones("Fugles are in."), phones("cancel the timer")
    assert distance(near, phones("fuggles are in")) < 1 < 5 < distance(near, far)
    assert phones("67 degrees") == phones("sixty seven degrees")


def test_words_that_nobody_understands_still_choose_between_two_wordings() -> None:
    first = [Hypothesis("cooling is done", 0.5, 0.5), Hypothesis("fuggles are in", 0.5, 0.5)]
    state = at_stage(EMPTY, "boil", NOW)
    alone = settle(ears_of([(Pocketsphinx, first)]), state, NOW)  # type: ignore[list-item]
    both = settle(ears_of([(Pocketsphinx, first), (Whisper, [Hypothesis("Fugles are in.", 0.75)])]), state, NOW)  # type: ignore[list-item]
    assert alone.decision == "ask"
    assert both.decision == "accept"
    assert both.text == "fuggles are in"


def test_a_second_engine_that_heard_something_else_makes_it_a_question() -> None:
    first = [Hypothesis("fifty degrees", 0.9, 1.0)]
    state = at_stage(EMPTY, "chill", NOW)
    heard = [(Pocketsphinx, first), (Whisper, [Hypothesis("Fifteen degrees.", 0.95)])]
    assert settle(ears_of(heard), state, NOW).decision == "ask"  # type: ignore[arg-type]


def test_a_wording_that_nobody_says_is_asked_about_however_sure() -> None:
    """ "Go forward ten metres" in a recording of Debian's pocketsphinx-testdata, which was heard so and taken."""
    heard = [Hypothesis("go for ten litres", 1.0, 1.0, like=False)]
    state = at_stage(EMPTY, "mash", NOW)
    assert settle(ears_of([(Pocketsphinx, heard)]), state, NOW).decision == "ask"  # type: ignore[list-item]
    second = (Whisper, [Hypothesis("Go forward ten leaders.", 0.9)])
    assert settle(ears_of([(Pocketsphinx, heard), second]), state, NOW).decision != "accept"  # type: ignore[list-item]


def test_shares_stay_within_the_confidence() -> None:
    shared = spread(
        Hypothesis("ten fifty", 0.8),
        [Hypothesis(text, 0.3) for text in ("ten fifty", "ten fifteen", "gravity ten fifty")],
    )
    assert sum(each.confidence for each in shared) <= 0.8
    assert shared[0].confidence > shared[1].confidence


def test_no_and_now_before_a_number_are_asked_about_where_both_were_heard() -> None:
    state = at_stage(EMPTY, "mash", NOW)
    heard = [Alternative("now sixty six", 0.95), Alternative("no sixty six", 0.03)]
    verdict = settle([Ear(heard)], state, NOW)
    assert verdict.decision == "ask"
    assert verdict.choices == ("now sixty six", "no sixty six")
    assert settle([Ear(heard[:1])], state, NOW).decision == "accept"
