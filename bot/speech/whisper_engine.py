"""The better ear, for those who install it: faster-whisper (``pip install potside[whisper]``) with a model of its own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

from bot.speech.port import RATE, Hypothesis, Samples, Situation, SpeechError
from conversations.hearing import ONE_EAR, Trust

PROMPT = (
    "Beer brewing at home, numbers as words. Gravity ten fifty seven. One point oh five two at twenty five degrees. "
    "Mash is at sixty seven point five degrees. Stick fourteen and a half centimetres. Six point two litres. "
    "Wort, hops, Fuggle, Goldings, flame out, yeast, dipstick."
)
"""Numbers as words: figures are split and joined wrongly where they are written (20 points of accuracy)."""
_BEND = 1.6
"""From the mean probability of a token to that of the meaning; measured on the development voices."""
_SHORT_S, _SHORT_FRAMES = 14.0, 1500
_LONG_S, _LONG_FRAMES = 29.0, 3000
"""Two windows of 100 frames a second: a note is padded to the first that holds it."""
_THREADS = 2
_NOTHING = 1e-10
"""Least probability of a piece of a word, so that its logarithm exists."""


class Whisper:
    """One whisper model. Raises SpeechError where the extra or the model is not to be had."""

    name = "whisper"

    def __init__(self, model: str) -> None:
        """Load the model from a folder or, by name, from the cache of the hub or the hub itself."""
        try:
            from faster_whisper import WhisperModel
        except ImportError as fault:
            raise SpeechError("The whisper ear is not installed (potside[whisper]).") from fault
        settings = {"device": "cpu", "compute_type": "int8", "cpu_threads": _THREADS}
        try:
            if Path(model).is_dir():
                self._model: Any = WhisperModel(model, local_files_only=True, **settings)
            else:
                self._model = _by_name(WhisperModel, model, settings)
        # The hub's library raises errors of many families for "no network" and "no such model".
        except Exception as fault:
            raise SpeechError(f'The whisper model "{Path(model).name}" cannot be had here.') from fault

    @staticmethod
    def trust(sound: Samples) -> Trust:
        """That of one ear, whatever the sound."""
        return ONE_EAR

    def recognise(self, sound: Samples, situation: Situation) -> list[Hypothesis]:
        """What whisper hears; its confidence is the mean probability of the tokens."""
        short = len(sound) < _SHORT_S * RATE
        options = {"chunk_length": 15} if short else {}
        segments, _ = self._model.transcribe(
            sound,
            language="en",
            beam_size=5,
            temperature=0.0,
            initial_prompt=PROMPT,
            condition_on_previous_text=False,
            without_timestamps=True,
            **options,
        )
        found = list(segments)
        text = " ".join(segment.text.strip() for segment in found).strip()
        if not text:
            return []
        certain = 1.0 - (1.0 - math.exp(min(segment.avg_logprob for segment in found))) ** _BEND
        speech = 1.0 - max(segment.no_speech_prob for segment in found)
        return [Hypothesis(text, certain * min(1.0, 2 * speech))]

    @staticmethod
    def can_weigh(sound: Samples) -> bool:
        """Whether the sound fits the model's window."""
        return len(sound) < _LONG_S * RATE

    def weigh(self, sound: Samples, texts: Sequence[str]) -> list[float]:
        """The logarithm of the probability that the model gives to each text for this sound, after the prompt.

        The sound must not be longer than :meth:`can_weigh` allows.
        """
        import ctranslate2

        frames = self._model.feature_extractor(sound)[:, : math.ceil(100 * len(sound) / RATE)]
        room = (_SHORT_FRAMES if len(sound) < _SHORT_S * RATE else _LONG_FRAMES) - frames.shape[1]
        heard = np.array(self._model.encode(np.pad(frames, ((0, 0), (0, room))).astype(np.float32)))
        rows = [self._pieces.encode(f" {text[:1].upper()}{text[1:]}.") for text in texts]
        # The engine takes a sound for each text; what it understands of the sound is worked out once.
        many = ctranslate2.StorageView.from_array(np.repeat(heard, len(rows), axis=0))
        found = self._model.model.align(many, self._before, rows, [frames.shape[1]] * len(rows))
        return [float(np.log(np.maximum(each.text_token_probs, _NOTHING)).sum()) for each in found]

    @cached_property
    def _pieces(self) -> Any:
        from faster_whisper.tokenizer import Tokenizer

        return Tokenizer(self._model.hf_tokenizer, self._model.model.is_multilingual, task="transcribe", language="en")

    @cached_property
    def _before(self) -> list[int]:
        """What stands before the words: the prompt, and that English follows without times."""
        found: list[int] = self._model.get_prompt(
            self._pieces, self._pieces.encode(" " + PROMPT), without_timestamps=True
        )
        return found


def _by_name(kind: Any, model: str, settings: dict[str, Any]) -> Any:
    try:
        return kind(model, local_files_only=True, **settings)
    except Exception:
        return kind(model, **settings)
