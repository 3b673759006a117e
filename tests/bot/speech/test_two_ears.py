"""Both ears together, the second of them a stand-in: what they hear and how far they are believed."""

from collections.abc import Callable

import numpy as np
import pytest

from bot.speech.audio import decode
from bot.speech.pocketsphinx_engine import Pocketsphinx
from bot.speech.port import RATE, Hypothesis, Situation
from bot.speech.two_ears import TwoEars
from bot.speech.voice_activity import speech_in
from conversations.hearing import ONE_EAR, ONE_EAR_IN_QUIET, TWO_EARS, TWO_EARS_IN_NOISE


class _Whisper:
    """A second ear that hears no words and weighs all alike."""

    name = "whisper"

    @staticmethod
    def can_weigh(sound: np.ndarray) -> bool:
        return len(sound) < 29 * RATE

    @staticmethod
    def recognise(sound: np.ndarray, situation: Situation) -> list[Hypothesis]:
        return []

    @staticmethod
    def weigh(sound: np.ndarray, texts: list[str]) -> list[float]:
        return [-3.0] * len(texts)


def test_two_ears_are_believed_less_beside_a_loud_pot(ear: Pocketsphinx) -> None:
    both = TwoEars(ear, _Whisper())  # type: ignore[arg-type]
    draw = np.random.default_rng(3)
    talk = np.where(np.arange(2 * RATE) // 4000 % 2, 0.5, 0.0) * draw.standard_normal(2 * RATE)
    hiss = draw.standard_normal(2 * RATE)
    assert both.trust((talk + 0.001 * hiss).astype(np.float32)) == TWO_EARS
    assert both.trust((talk + 0.1 * hiss).astype(np.float32)) == TWO_EARS_IN_NOISE
    assert both.trust(np.zeros(40 * RATE, np.float32)) == ONE_EAR


@pytest.mark.slow
def test_two_ears_hear_what_one_does_not_expect(ear: Pocketsphinx, note: Callable[[str], bytes]) -> None:
    """No sentence that the embedded ear expects holds the word; the second ear has it to choose from."""
    sound = speech_in(decode(note("use dollars")))
    assert sound is not None
    assert "use dollars" not in [each.text for each in ear.recognise(sound, Situation("plan"))]
    both = TwoEars(ear, _Whisper())  # type: ignore[arg-type]
    assert "use dollars" in [each.text for each in both.recognise(sound, Situation("plan"))]


def test_one_ear_is_believed_more_in_a_quiet_room(ear: Pocketsphinx) -> None:
    talk = np.where(np.arange(2 * RATE) // 4000 % 2, 0.5, 0.0) * np.random.default_rng(3).standard_normal(2 * RATE)
    hiss = np.random.default_rng(4).standard_normal(2 * RATE)
    assert ear.trust((talk + 0.0003 * hiss).astype(np.float32)) == ONE_EAR_IN_QUIET
    assert ear.trust((talk + 0.05 * hiss).astype(np.float32)) == ONE_EAR
