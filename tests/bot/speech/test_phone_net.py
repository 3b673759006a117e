"""The phone net, its scores and its search: against their definitions, and on a voice that it was not trained on."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise, product
from pathlib import Path

import numpy as np
import pocketsphinx
import pytest
from rapidfuzz.distance import Levenshtein

from bot.speech.audio import decode
from bot.speech.dictionary import sounds
from bot.speech.language_model import Trigrams
from bot.speech.phone_ear import PhoneEar, write_words
from bot.speech.phone_net import BANDS, mel_bands, phone_net, spectra
from bot.speech.phone_scores import scores
from bot.speech.word_search import WordSearch


def some(moments: int, kinds: int, seed: int) -> np.ndarray:
    drawn = np.random.default_rng(seed).dirichlet(np.ones(kinds), moments)
    return np.asarray(np.log(drawn), np.float32)


def collapsed(path: tuple[int, ...]) -> list[int]:
    return [each for place, each in enumerate(path) if each and (place == 0 or each != path[place - 1])]


@pytest.mark.parametrize("row", [[], [1], [1, 2], [1, 1], [2, 1, 2], [1, 2, 1, 2, 1]])
def test_the_score_is_the_sum_over_all_timings(row: list[int]) -> None:
    """Graves et al., "Connectionist temporal classification" (ICML 2006), equation 3: every path that collapses to it."""
    heard = some(4, 3, 1)
    sums = sum(
        float(np.exp(sum(heard[moment, each] for moment, each in enumerate(path))))
        for path in product(range(3), repeat=4)
        if collapsed(path) == row
    )
    found = float(np.exp(scores(heard, [row, [1]])[0]))
    assert found == pytest.approx(sums, abs=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_the_search_brings_the_best_sentence_of_all_first(seed: int) -> None:
    """Every sentence of up to two words, scored one by one by the best timing (Viterbi) and the pairs of words."""
    words, rows = ["a", "ab", "ba"], [[1], [1, 2], [2, 1]]
    pairs = Trigrams(["a", "ab", "a ba", "ab ab", "ba a ab"]).pairs(words)
    heard = some(4, 3, seed)

    def says(path: tuple[int, ...], row: tuple[int, ...]) -> bool:
        if not row:
            return not any(path)
        return any(
            collapsed(path[:end]) == rows[row[0]] and says(path[end:], row[1:]) for end in range(1, len(path) + 1)
        )

    def best(row: tuple[int, ...]) -> float:
        timings = (path for path in product(range(3), repeat=len(heard)) if says(path, row))
        sound = max(float(sum(heard[t, each] for t, each in enumerate(path))) for path in timings)
        return sound + sum(float(pairs[one, other]) for one, other in pairwise([3, *row, 3]))

    every = [row for count in (1, 2) for row in product(range(3), repeat=count) if sum(len(rows[e]) for e in row) <= 4]
    found = WordSearch(words, rows, pairs)(heard, 8)
    assert next(text for text in found if len(text.split()) <= 2) == " ".join(words[each] for each in max(every, key=best))
    assert len(set(found)) == len(found)


def test_pairs_of_words_are_probabilities() -> None:
    trigrams = Trigrams(["mash at sixty", "mash is at sixty", "boil"])
    table = np.exp(trigrams.pairs(trigrams.words).astype(np.float64))
    assert table.sum(axis=1) == pytest.approx(np.ones(len(table)), abs=0.01)
    place = trigrams.words.index
    assert table[place("mash"), place("at")] == pytest.approx(trigrams.two("mash", "at"), rel=0.01)


def test_the_bands_cover_speech_evenly() -> None:
    """Mel scale of D. O'Shaughnessy, Speech Communication (1987): 1000 Hz is 1000 mel; neighbours meet at half."""
    bands = mel_bands()
    assert bands.shape == (BANDS, 257)
    inside = bands.sum(axis=0)[8:220]
    assert inside == pytest.approx(np.ones_like(inside), abs=1e-5)
    assert 2595 * np.log10(1 + 1000 / 700) == pytest.approx(1000, abs=1)


def test_loudness_changes_nothing(note: Callable[[str], bytes]) -> None:
    sound = decode(note("mash is at sixty six"))
    assert spectra(sound) == pytest.approx(spectra(0.25 * sound), abs=0.02)


@pytest.mark.parametrize("text", ["mash is at sixty six", "twelve grams of fuggle", "remind me to stir the mash"])
def test_the_sounds_of_a_voice_it_was_not_trained_on_are_heard(note: Callable[[str], bytes], text: str) -> None:
    """Against the pronunciations of the CMU dictionary; hibari's voice is held (benchmarks/speech_corpus.py)."""
    net = phone_net()
    path = tuple(int(each) for each in net(decode(note(text))).argmax(axis=1))
    heard = [net.phones[each - 1] for each in collapsed(path)]
    found = sounds(text.split(), Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict")
    wanted = [phone for word in text.split() for phone in found[word][0].split()]
    assert Levenshtein.distance(heard, wanted) < 0.35 * len(wanted)


@pytest.mark.parametrize("said", ["ninety minutes", "nineteen minutes"])
def test_a_number_that_is_seldom_said_is_told_from_its_twin_by_its_sound(tmp_path: Path, said: str) -> None:
    """The sounds are clear; the other ear knows ninety alone, and the model of language hardly any nineteen."""
    found = sounds(["nineteen", "ninety", "minutes", "a"], Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict")
    words, pairs = tmp_path / "words", tmp_path / "pairs"
    write_words(found, Trigrams([*["ninety minutes"] * 200, "nineteen minutes", "a"]), words, pairs)
    phones = phone_net().phones
    row = [phones.index(phone) + 1 for word in said.split() for phone in found[word][0].split()]
    heard = np.full((2 * len(row), len(phones) + 1), np.log(0.1 / len(phones)), np.float32)
    heard[::2, 0] = np.log(0.9)
    heard[np.arange(len(row)) * 2 + 1, row] = np.log(0.9)

    def shares(*, twins: bool) -> dict[str, float]:
        often = {"ninety minutes": -1.0, "nineteen minutes": -6.0}
        return PhoneEar(words, pairs).shares(heard, {"ninety minutes": 1.0}, lambda text: True, lambda text: often.get(text, -20.0), 1, twins=twins)

    assert max(shares(twins=True).items(), key=lambda one: one[1])[0] == said
    assert max(shares(twins=False).items(), key=lambda one: one[1])[0] == "ninety minutes"


def test_almost_no_sound_is_no_words() -> None:
    assert len(phone_net()(np.zeros(100, np.float32))) == 0
    assert scores(phone_net()(np.zeros(100, np.float32)), [[1]]) == [-1e9]
