"""The engine that comes with Potside: pocketsphinx with models of what may be said at each stage.

Models are made from the language data at first use and kept in the user's cache folder under a key of that data.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from bot.speech.audio import as_pcm
from bot.speech.cleaning import clean
from bot.speech.dictionary import sayable, sounds, write_dictionary
from bot.speech.kept_models import data_key, default_cache, kept, situation_key
from bot.speech.language_model import Trigrams
from bot.speech.likeness import UNLIKE, alike, pieces, shape, shapes
from bot.speech.phone_ear import PhoneEar, trigram, write_words
from bot.speech.phone_net import phone_net
from bot.speech.port import Hypothesis, Samples, Situation, SpeechError
from bot.speech.voice_activity import rise
from bot.speech.what_is_said import drawn
from bot.speech.wide_ear import WideEar
from conversations.hearing import ONE_EAR, ONE_EAR_IN_QUIET, Trust

LANGUAGE_WEIGHT = 7.5
"""Weight of the language model against the sound; measured on the development voices (docs/speech.md)."""
_IN_TIME: dict[str, Any] = {"fwdflat": False, "maxhmmpf": 3000, "maxwpf": 10}
"""Where no other engine listens: one pass over the sound instead of two, and no more sounds and words kept open at a moment than
are worth their time; not less right on the development voices at two thirds of the time (docs/speech.md)."""
MOST_HYPOTHESES = 20
_MOST_TRIED = 200
_SCALE = 1024.0
"""The decoder keeps scores as powers of its logarithm's base, shifted by ten bits."""


class Take(NamedTuple):
    """One way of listening to a note."""

    cleaned: bool
    room: float = 0.0
    """Share of the room's reverberation that is taken out with the noise."""
    up: int = 1
    down: int = 1
    """Rate to hear it at: 15 to 16 is a voice that is higher and faster by a sixteenth."""


class Model(NamedTuple):
    """What is loaded for one situation, beside the decoder's own model."""

    shapes: frozenset[str]
    common: frozenset[tuple[str, ...]]
    """Neighbouring pieces that several of the shapes share."""
    ear: PhoneEar

    def like(self, text: str) -> bool:
        """Whether it has the shape of a sentence that is said here."""
        return alike(text, self.shapes, self.common)


TAKES = (Take(False), Take(True, up=15, down=16), Take(True, up=16, down=15))
_QUIET_DB = 40.0
"""How far speech stands out of its noise in a quiet room: 47 to 61 dB, beside a pot at 20 dB 24 to 36 (development voices)."""
_SOFT = 0.05
"""Sounds of neighbouring moments are not independent: scores differ far more than probabilities do."""


class Pocketsphinx:
    """One decoder for all chats; it holds the model of one situation, that in which a note came last."""

    name = "pocketsphinx"

    def __init__(self, cache: Path | None = None, *, alone: bool = True) -> None:
        """Keep models in ``cache``; raises SpeechError where the engine is not installed.

        Not ``alone`` it takes longer, which does not show beside an engine that takes longer still.
        """
        try:
            import pocketsphinx
        except ImportError as fault:
            raise SpeechError("The ear is not installed: pip install pocketsphinx.") from fault
        self._library = pocketsphinx
        self._cache = (cache or default_cache()) / data_key()
        self._models = Path(pocketsphinx.get_model_path()) / "en-us"
        self._dictionary = self._models / "cmudict-en-us.dict"
        self._decoder: Any = None
        self._settings = _IN_TIME if alone else {}
        self._loaded: tuple[str, Model] | None = None
        """The model that was used last, with its key: each has 15 MB, and a batch with names of its own is a situation of its own."""

    @staticmethod
    def trust(sound: Samples) -> Trust:
        """That of one ear, more in a quiet room."""
        return ONE_EAR_IN_QUIET if rise(sound) > _QUIET_DB else ONE_EAR

    def recognise(self, sound: Samples, situation: Situation, also: Sequence[str] | None = None) -> list[Hypothesis]:
        """The likeliest wordings, heard several ways: with and without its noise, by a longer and a shorter throat.

        The shares of all takes are averaged: what only one of them hears is doubtful, what all hear is sure. ``also`` are
        wordings that another engine heard, weighed with the rest where all of their words are known; with none such
        engine, thirteen is weighed where thirty was heard.
        """
        key = situation_key(situation)
        model = self._ready(key, situation)
        decoder = self._decoder
        # Forget whoever spoke before: the first take goes by the mean spectrum of its own sound, the others by that of
        # the take before them (measured a little better than each by its own).
        decoder.reinit_feat()
        takes = [self._take(decoder, sound, take, model.shapes) for take in TAKES]
        shares: dict[str, float] = defaultdict(float)
        for take in takes:
            for text, share in take.items():
                shares[text] += share / len(takes)
        others = dict(sorted(shares.items(), key=lambda one: -one[1])[:MOST_HYPOTHESES])
        others |= {text: 0.0 for text in also or () if text not in others}
        heard = phone_net()(sound)

        like = cache(model.like)
        found = model.ear.shares(heard, others, like, self._sentence(decoder, key), MOST_HYPOTHESES, twins=also is None)
        return [
            Hypothesis(text, share, like(text))
            for text, share in sorted(found.items(), key=lambda one: -one[1])[:MOST_HYPOTHESES]
        ]

    def wide(self) -> WideEar:
        """An ear of the same dictionary that expects everything."""
        return WideEar(self._cache, self._dictionary)

    @staticmethod
    def _sentence(decoder: Any, key: str) -> Callable[[str], float]:
        """The logarithm of a sentence by the model of that situation."""
        model, scale = decoder.get_lm(key), decoder.logmath
        return trigram(lambda row: float(scale.log_to_ln(model.prob(list(row)))))

    def _take(self, decoder: Any, sound: Samples, take: Take, known: frozenset[str]) -> dict[str, float]:
        """Wordings of one take by their share, those of an unknown shape counted less."""
        from scipy.signal import resample_poly

        heard = clean(sound, take.room) if take.cleaned else sound
        if take.up != take.down:
            heard = np.asarray(resample_poly(heard, take.up, take.down), np.float32)
        return {
            text: share * (1.0 if shape(text) in known else UNLIKE)
            for text, share in self._once(decoder, heard).items()
        }

    @staticmethod
    def _once(decoder: Any, sound: Samples) -> dict[str, float]:
        """Different wordings by their score, softened to shares that add up to 1."""
        decoder.start_utt()
        decoder.process_raw(as_pcm(sound), False, True)
        decoder.end_utt()
        if decoder.hyp() is None:
            return {}
        scores: dict[str, float] = {}
        for place, each in enumerate(decoder.nbest()):
            if place >= _MOST_TRIED or len(scores) >= MOST_HYPOTHESES:
                break
            if each is not None and each.hypstr and each.score > 0:
                scores[each.hypstr] = max(scores.get(each.hypstr, -1e9), _SCALE * math.log(each.score))
        top = max(scores.values(), default=0.0)
        # The decoder counts from another level at its first note; behind six places the scores differ by their rounding there.
        shares = {text: math.exp(_SOFT * round(score - top, 6)) for text, score in scores.items()}
        total = sum(shares.values())
        return {text: share / total for text, share in shares.items()}

    def _ready(self, key: str, situation: Situation) -> Model:
        """The model of a situation, which the decoder then goes by."""
        if self._loaded is None or self._loaded[0] != key:
            language, dictionary, forms, words, pairs = self._built(key, situation)
            if self._decoder is None:
                self._decoder = self._library.Decoder(
                    hmm=str(self._models / "en-us"),
                    lm=None,
                    dict=str(dictionary),
                    lw=LANGUAGE_WEIGHT,
                    loglevel="FATAL",
                    **self._settings,
                )
            if self._loaded is not None:
                self._decoder.remove_search(self._loaded[0])
                self._loaded = None
            self._learn(dictionary)
            self._decoder.add_lm_file(key, str(language))
            self._decoder.activate_search(key)
            shapes = frozenset(forms.read_text(encoding="utf-8").splitlines())
            self._loaded = key, Model(shapes, pieces(shapes), PhoneEar(words, pairs))
        return self._loaded[1]

    def _learn(self, dictionary: Path) -> None:
        """Teach the decoder the words that it has not met with an earlier model."""
        missing = [
            line.split(" ", 1)
            for line in dictionary.read_text(encoding="utf-8").splitlines()
            if self._decoder.lookup_word(line.split(" ", 1)[0]) is None
        ]
        for word, phones in missing:
            self._decoder.add_word(word, phones, False)

    def _built(self, key: str, situation: Situation) -> tuple[Path, ...]:
        """Paths of the model, the dictionary, the known shapes, the words and their pairs, made where not kept yet."""
        paths = tuple(self._cache / f"{key}.{kind}" for kind in ("lm", "dict", "shapes", "words", "pairs"))

        def make(drafts: list[Path]) -> None:
            lines = list(drawn(situation))
            found = sounds({word for line in lines for word in line.split()}, self._dictionary)
            trigrams = Trigrams(sayable(lines, found))
            drafts[0].write_text(trigrams.arpa(), encoding="utf-8")
            write_dictionary(found, drafts[1])
            drafts[2].write_text("\n".join(shapes(lines)), encoding="utf-8")
            write_words(found, trigrams, drafts[3], drafts[4])

        return kept(paths, make)
