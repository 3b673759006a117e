"""Sentences that may be said at a stage, drawn from the language data of the understanding part.

A new entry there is heard from the next start on: nothing here names an intent, except to say how often it comes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import accumulate, pairwise

from bot.speech.dictionary import hearing
from bot.speech.every_slot import SayEverything
from bot.speech.port import Situation
from bot.speech.spoken_numbers import Say, gravity_forms, words
from conversations.understanding.sentences import Sentence, forms, sentences

SENTENCES = 24_000
"""Sentences drawn for one stage: more takes longer to build and changes nothing that was measured."""
_SEED = 20
_LOOKED_AT = 80
"""Forms of one template that are looked through for neighbours which nothing before them had."""
_SIGNS = {"boil-off": "boil off", "flame-out": "flame out", "-": "", "=": ""}
_COUNTED = frozenset(["timer", "alarm", "countdown", "reminder", "batch", "sachet", "stir"])
_PLAIN = re.compile(r"[a-z']+(?:'[a-z]+)?")


_UNITS = {"c": "celsius", "f": "fahrenheit", "l": "litres", "g": "grams", "kg": "kilos", "min": "minutes", "cm": "centimetres",
          "deg": "degrees", "%": "percent", "s": "seconds", "h": "hours", "@": "at"}  # fmt: skip
_FIGURES = re.compile(r"(\d+(?:[.,]\d+)?)(?:([a-z%]+)\b)?")

Templates = list[list[tuple[str, ...]]]
"""The forms of each template."""


def aloud(example: str) -> str | None:
    """A written example as it is said; None where that is not plain ("19:30", "6 x 330 ml").

    >>> aloud("gravity 1.050 at 25 C"), aloud("stick 14.5cm"), aloud("What's next?")
    ('gravity one point oh five oh at twenty five celsius', 'stick fourteen point five centimetres', "what's next")
    """
    text = re.sub(r"[,;:?!](?=\s|$)|\.$", " ", example.lower().replace("-", " "))

    def spelt(match: re.Match[str]) -> str:
        figures, unit = match[1].replace(",", "."), match[2] or ""
        whole, dot, part = figures.partition(".")
        if dot and len(part) == 3 and whole in "01":
            said = gravity_forms(int(whole + part))[1][0]
        elif len(whole) == 4 and not dot:
            said = f"{words(int(whole[:2]))} {words(int(whole[2:]))}"
        else:
            said = words(int(whole)) + (" point " + " ".join(words(int(each)) for each in part) if dot else "")
        return f"{said} {unit}"

    row = _FIGURES.sub(spelt, text).split()
    row = [_UNITS.get(word, word) for word in row]
    return " ".join(row) if row and all(_PLAIN.fullmatch(word) for word in row) else None


def _how_often(name: str, stage: str | None) -> float:
    """How often an intent is said: by the longest name in the page that it begins with."""
    page = hearing()
    often: float = 1.0
    for table in (page["often"], page["at"].get(stage or "none", {})):
        found = [key for key in table if name == key or name.startswith(key + ".")]
        often *= table[max(found, key=len)] if found else 1.0
    return often


def _spoken(form: tuple[str, ...], say: Say) -> str | None:
    """One form with its slots filled and the small words put in; None where it cannot be said."""
    small = hearing()["small"]
    things, states = set(small["things"]), set(small["states"])
    said: list[str] = []
    previous = ""
    for piece in form:
        if piece.startswith("{"):
            filled = say.slot(piece[1:-1].partition(":")[0])
            if filled is None:
                return None
            if (
                previous in things
                and piece[1:5] in ("grav", "temp", "volu", "dept", "mass", "sg}")
                and say.chance(0.35)
            ):
                said.append("is")
            said += filled.split()
            previous = ""
            continue
        for word in _SIGNS.get(piece, piece).split():
            if word in things and previous not in things and say.chance(0.3):
                said.append("my" if say.chance(0.1) else "the")
            elif word in states and previous in things and say.chance(0.5):
                said.append("are" if previous in ("hops", "eggs", "bottles", "grains") else "is")
            elif previous in ("what", "how", "where") and word in things | {"it", "next"} and say.chance(0.5):
                said.append("is")
            elif word in _COUNTED and previous not in ("the", "my", "a") and say.chance(0.5):
                said.append("a")
            elif word in ("boiling", "cooled", "cold", "done", "finished", "chilled") and not said and say.chance(0.4):
                said.append("it's")
            said.append("what's" if word == "what" and len(form) > 1 and say.chance(0.1) else word)
            previous = word
    if said and all(_PLAIN.fullmatch(word) for word in said):
        return " ".join(said)
    return None


def _entries(stage: str | None) -> tuple[Templates, list[float]]:
    """The forms of every template with how often it is said; an example counts as two templates."""
    templates: Templates = []
    often: list[float] = []
    for name in dict.fromkeys(sentence.name for sentence in sentences()):
        mine: list[Sentence] = [sentence for sentence in sentences() if sentence.name == name]
        found = [(template, sentence) for sentence in mine for template in sentence.sentences]
        for template, _ in found:
            templates.append([form for form in forms(template) if form])
            often.append(_how_often(name, stage) / len(found))
        for example in filter(None, (aloud(each) for sentence in mine for each in sentence.examples)):
            templates.append([tuple(example.split())])
            often.append(2 * _how_often(name, stage) / len(found))
    return templates, often


def drawn(situation: Situation, count: int = SENTENCES) -> Iterator[str]:
    """So many sentences for this situation; always the same ones for the same data and situation."""
    say = Say(situation.stage, situation.units, hearing()["names"], situation.names, _SEED)
    return _drawn(*_entries(situation.stage), say, count)


def every_word(situation: Situation) -> tuple[list[str], list[str]]:
    """What is said in this situation, every slot filled: as often as it is said, and what chance leaves out, once each.

    Drawn by chance alone a quarter of all words would never come, and every third kind of slot has no words in :func:`drawn`.
    """
    entries = _entries(situation.stage)

    def say() -> Say:
        return SayEverything(
            situation.stage, situation.units, hearing()["names"] | hearing()["said"], situation.names, _SEED
        )

    return list(_drawn(*entries, say(), SENTENCES)), list(_rarely_said(*entries, say()))


def _drawn(templates: Templates, often: list[float], say: Say, count: int) -> Iterator[str]:
    weighted = [list(accumulate(1.0 / len(form) for form in several)) for several in templates]
    summed = list(accumulate(often))
    made = 0
    tried = 0
    while made < count and tried < 3 * count:
        tried += 1
        pieces: list[str] = []
        for _ in range(2 if say.chance(0.06) else 1):
            which = say.place(summed)
            form = templates[which][say.place(weighted[which])]
            spoken = _spoken(form, say)
            if spoken and spoken not in hearing()["typed_only"]:
                pieces.append(spoken)
        if pieces:
            made += 1
            yield (" and " if say.chance(0.25) else " ").join(pieces)


def _rarely_said(templates: Templates, often: list[float], say: Say) -> Iterator[str]:
    """Sentences in which all words that follow each other in some template do so at least once."""
    seen: set[tuple[str, str]] = set()
    for several, share in zip(templates, often, strict=True):
        for form in say.some(several, _LOOKED_AT) if share else ():
            pairs = set(pairwise(("", *form, "")))
            if pairs <= seen or (spoken := _spoken(form, say)) is None or spoken in hearing()["typed_only"]:
                continue
            seen |= pairs
            yield spoken
