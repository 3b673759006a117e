"""Shapes of sentences, sounds of words, and two engines that hear different words."""

import numpy as np
import pytest

from bot.speech.cleaning import clean
from bot.speech.commands import at_stage
from bot.speech.likeness import alike, pieces, shape, shapes
from bot.speech.port import RATE, Hypothesis, Situation
from bot.speech.second_opinion import weighed
from bot.speech.what_is_said import drawn
from conversations.hearing import ONE_EAR, TWO_EARS, Alternative, Trust, settle
from conversations.session.fold import EMPTY
from tests.bot.speech.conftest import NOW


@pytest.mark.slow
def test_noise_heard_as_words_has_no_shape_that_is_said() -> None:
    known = set(shapes(drawn(Situation("mash"))))
    assert shape("the mash is at sixty four point five") in known
    assert shape("seventy degrees") in known
    assert shape("mash at sixty six for sixty revert") not in known
    assert shape("sixty degrees next back") not in known


@pytest.mark.slow
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


@pytest.mark.slow
def test_people_who_say_go_for_ten_litres_in_a_mash_are_asked() -> None:
    """What "go forward ten metres" was heard as; to go for a volume is said while planning."""
    known = set(shapes(drawn(Situation("mash"))))
    assert not alike("go for ten litres", known, pieces(known))


@pytest.mark.slow
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


def decided(heard: list[Hypothesis], stage: str) -> tuple[str, str]:
    verdict = settle([Alternative(*each) for each in heard], at_stage(EMPTY, stage, NOW), NOW)
    return verdict.decision, verdict.text


def test_an_ear_that_understands_nothing_still_chooses_between_two_wordings() -> None:
    first = [Hypothesis("cooling is done", 0.5), Hypothesis("fuggles are in", 0.5)]
    likely = {"cooling is done": -24.0, "fuggles are in": -9.0, "fugles are in": -5.0}
    both = weighed(first, ["fugles are in"], [], lambda texts: [likely[text] for text in texts])
    assert decided(first, "boil")[0] == "ask"
    assert decided(both, "boil") == ("accept", "fuggles are in")


def test_a_second_ear_that_heard_another_number_makes_it_a_question() -> None:
    likely = {"fifty degrees": -9.0, "fifteen degrees": -2.0}
    both = weighed(
        [Hypothesis("fifty degrees", 0.9), Hypothesis("fifteen degrees", 0.1)],
        ["fifteen degrees"],
        [],
        lambda texts: [likely[text] for text in texts],
    )
    assert decided([Hypothesis("fifty degrees", 0.99)], "chill")[0] == "accept"
    assert decided(both, "chill")[0] == "ask"


def test_what_the_second_ear_holds_for_quite_other_words_is_not_taken() -> None:
    likely = {"ten litres": -40.0, "then let us go there": -2.0}
    both = weighed(
        [Hypothesis("ten litres", 1.0)], ["then let us go there"], [], lambda texts: [likely[text] for text in texts]
    )
    assert decided([Hypothesis("ten litres", 1.0)], "transfer")[0] == "accept"
    assert decided(both, "transfer")[0] != "accept"


def test_each_ear_has_half_a_voice_in_whether_anything_was_said() -> None:
    first = [Hypothesis("ten fifty", 0.5), Hypothesis("ten fifteen", 0.2)]
    both = weighed(first, [], [], lambda texts: [-3.0] * len(texts))
    assert sum(each.confidence for each in both) == pytest.approx(0.7**0.5)
    assert [each.text for each in both] == ["ten fifty", "ten fifteen"]
    assert weighed([], [], [], lambda texts: [-3.0] * len(texts)) == []


def test_a_wording_that_nobody_says_is_asked_about_however_sure() -> None:
    """ "Go forward ten metres" in a recording of Debian's pocketsphinx-testdata, which was heard so and taken."""
    assert decided([Hypothesis("go for ten litres", 1.0, like=False)], "mash")[0] == "ask"


def test_no_and_now_before_a_number_are_asked_about_where_both_were_heard() -> None:
    state = at_stage(EMPTY, "mash", NOW)
    heard = [Alternative("now sixty six", 0.95), Alternative("no sixty six", 0.03)]
    verdict = settle(heard, state, NOW)
    assert verdict.decision == "ask"
    assert verdict.choices == ("now sixty six", "no sixty six")
    assert settle(heard[:1], state, NOW).decision == "accept"


def test_what_is_seldom_said_is_heard_where_the_second_ear_tells_it_apart() -> None:
    first = [Hypothesis("use gallons", 0.6), Hypothesis("use growlers", 0.4)]
    likely = {"use gallons": -24.0, "use growlers": -26.0, "use dollars": -4.0, "you stop there": -3.5}
    both = weighed(first, ["you stop there"], ["use dollars"], lambda texts: [likely[text] for text in texts])
    verdict = settle([Alternative(*each) for each in both], at_stage(EMPTY, None, NOW), NOW, TWO_EARS)
    assert "use dollars" in (verdict.text, *verdict.choices[:1])
    alone = weighed(first, ["you stop there"], [], lambda texts: [likely[text] for text in texts])
    verdict = settle([Alternative(*each) for each in alone], at_stage(EMPTY, None, NOW), NOW, TWO_EARS)
    assert verdict.decision != "accept"
    assert "use dollars" not in verdict.choices


def test_words_that_the_second_ear_wrote_with_certainty_need_no_shape_of_ours() -> None:
    for sound, like in ((-1.0, True), (-5.0, False)):
        both = weighed([Hypothesis("show us start", 1.0)], ["show us a chart"], [], lambda texts, its=sound: [its for _ in texts])
        assert {each.text: each.like for each in both}["show us a chart"] is like


@pytest.mark.parametrize(("said", "other"), [("stick says thirteen", "stick says thirty"), ("eighty degrees", "eighteen degrees")])
@pytest.mark.parametrize(("trust", "share"), [(ONE_EAR, 0.06), (TWO_EARS, 0.02)])
def test_a_ten_is_asked_about_where_its_teen_was_heard_too(said: str, other: str, trust: Trust, share: float) -> None:
    """Eighteen heard as eighty was the one wrong number among the development notes of both ears at 20 dB."""
    state = at_stage(EMPTY, "chill", NOW)
    sure = settle([Alternative(said, 1 - share), Alternative("what now", share)], state, NOW, trust)
    assert (sure.decision, sure.text) == ("accept", said)
    doubtful = settle([Alternative(said, 1 - share), Alternative(other, share)], state, NOW, trust)
    assert (doubtful.decision, doubtful.choices) == ("ask", (said, other))
    slight = settle([Alternative(said, 1 - share / 10), Alternative(other, share / 10)], state, NOW, trust)
    assert (slight.decision, slight.text) == ("accept", said)
