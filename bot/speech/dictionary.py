"""How words sound: the engine's own dictionary, our data page, and a letter-to-sound net for words new to both."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Container, Iterable
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

_BROAD_A = frozenset(
    [
        "half",
        "ask",
        "last",
        "past",
        "fast",
        "glass",
        "bath",
        "basket",
        "after",
        "asks",
        "can't",
        "master",
        "pasta",
        "mash",
    ]
)
_LOT = frozenset(
    [
        "pot",
        "hops",
        "hop",
        "stop",
        "got",
        "hot",
        "long",
        "off",
        "gone",
        "on",
        "wort",
        "strong",
        "cold",
        "what",
        "want",
        "not",
        "lot",
        "block",
    ]
)
_VOWELS = frozenset(["AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"])
# The phones that the letter-to-sound net writes, as the engine's dictionary names them.
_PHONES = {
    "A": "EY", "I": "AY", "O": "OW", "Q": "OW", "W": "AW", "Y": "OY", "ʤ": "JH", "ʧ": "CH", "ɹ": "R", "ɾ": "D", "ɡ": "G",
    "ŋ": "NG", "ʃ": "SH", "ʒ": "ZH", "θ": "TH", "ð": "DH", "i": "IY", "u": "UW", "ɪ": "IH", "ʊ": "UH", "ɛ": "EH", "æ": "AE",
    "ɑ": "AA", "ɒ": "AA", "ɔ": "AO", "ʌ": "AH", "ə": "AH", "ɜ": "ER", "ᵊ": "AH", "ᵻ": "IH", "j": "Y", "w": "W", "h": "HH",
    "ʔ": "T", "a": "AE", "b": "B", "d": "D", "f": "F", "k": "K", "l": "L", "m": "M", "n": "N", "p": "P", "s": "S", "t": "T",
    "v": "V", "z": "Z", "T": "D",
}  # fmt: skip


@lru_cache(maxsize=1)
def hearing() -> dict[str, Any]:
    """The page data/hearing.toml."""
    return tomllib.loads(files("bot.speech").joinpath("data", "hearing.toml").read_text(encoding="utf-8"))


def without_r(phones: str) -> str:
    """The sound without an r that no vowel follows, as in most of Britain.

    >>> without_r("W AO T ER"), without_r("Y IH R Z"), without_r("F AO R T IY"), without_r("B ER D")
    ('W AO T AH', 'Y IH AH Z', 'F AO T IY', 'B ER D')
    """
    row = phones.split()
    result: list[str] = []
    for place, phone in enumerate(row):
        following = row[place + 1] if place + 1 < len(row) else ""
        if phone == "R" and following not in _VOWELS and place and row[place - 1] in _VOWELS:
            if row[place - 1] in ("IH", "UH"):
                result.append("AH")
        elif phone == "ER" and following not in _VOWELS and place and any(each in _VOWELS for each in result):
            result.append("AH")
        else:
            result.append(phone)
    return " ".join(result)


def ways(word: str, phones: Iterable[str]) -> list[str]:
    """All sounds of a word: those given, then without r, then with the broad a where Britain has one."""
    found = list(dict.fromkeys(phones))
    for each in list(found):
        found.append(without_r(each))
        if word in _BROAD_A:
            found.append(each.replace("AE", "AA"))
        if word in _LOT:
            found.append(without_r(each.replace("AA", "AO")))
    return list(dict.fromkeys(found))


def from_letters(word: str) -> str:
    """Phones by hibari's lexicon and its net for unknown words; empty where it reads nothing."""
    said = re.sub(r"[ˈˌː.,!?]", "", _reader()(word))
    phones = [_PHONES[sign] for sign in said if sign in _PHONES]
    return " ".join(phones).replace("AH R", "ER").replace("ER R", "ER")


@lru_cache(maxsize=1)
def _reader() -> Any:
    from hibari.g2p import G2P

    return G2P()


def sounds(vocabulary: Iterable[str], engine_dictionary: Path) -> dict[str, list[str]]:
    """Every word of the vocabulary with its ways of sounding; a word that cannot be read aloud is left out."""
    wanted = set(vocabulary)
    own: dict[str, list[str]] = hearing()["sounds"]
    found: dict[str, list[str]] = {word: list(own[word]) for word in wanted & own.keys()}
    with engine_dictionary.open(encoding="utf-8") as lines:
        for line in lines:
            entry, _, phones = line.strip().partition(" ")
            word = entry.partition("(")[0]
            if word in wanted and word not in own:
                found.setdefault(word, []).append(phones)
    for word in wanted - found.keys():
        phones = from_letters(word)
        if phones:
            found[word] = [phones]
    return {word: ways(word, found[word]) for word in sorted(found)}


def sayable(lines: Iterable[str], found: Container[str]) -> list[str]:
    """The lines of which every word has a sound."""
    return [line for line in lines if all(word in found for word in line.split())]


def write_dictionary(found: dict[str, list[str]], path: Path) -> None:
    """The dictionary as the engine reads it."""
    lines = [
        f"{word}{f'({number})' if number > 1 else ''} {phones}"
        for word, several in found.items()
        for number, phones in enumerate(several, start=1)
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
