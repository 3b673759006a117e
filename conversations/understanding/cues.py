"""What a clause says by the words in it, in any order: for things said in a hundred ways and without a number.

Each entry of data/cues.toml has groups of words; a clause means it where every group is met and every other word
carries nothing. Sentences with a fixed shape and numbers are in data/sentences/.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from conversations.understanding.words import Item, word_set


@dataclass(frozen=True, slots=True)
class Cue:
    """One entry: the intent, its groups of words, further words that may stand beside them, and examples."""

    name: str
    groups: tuple[frozenset[str], ...]
    beside: frozenset[str]
    examples: tuple[str, ...]


@cache
def cues() -> tuple[Cue, ...]:
    """The entries of data/cues.toml, those with the most groups first."""
    page = files("conversations.understanding").joinpath("data", "cues.toml")
    rows = tomllib.loads(page.read_text(encoding="utf-8"))["cue"]
    found = [
        Cue(
            name=row["name"],
            groups=tuple(frozenset(group.split("|")) for group in row["words"]),
            beside=frozenset(row.get("beside", "").split()),
            examples=tuple(row["examples"]),
        )
        for row in rows
    ]
    return tuple(sorted(found, key=lambda cue: -len(cue.groups)))


@cache
def cue_words() -> frozenset[str]:
    """Every word of the entries, for the spelling."""
    return frozenset(word for cue in cues() for group in (*cue.groups, cue.beside) for word in group)


@cache
def _empty_words() -> frozenset[str]:
    return word_set("light") | word_set("stop_words") | word_set("about") | word_set("fillers")


def cue_of(clause: list[Item]) -> str | None:
    """The intent of a clause of words, or None; a clause with a number has a sentence of its own or none."""
    if any(item.kind not in ("word", "sep") for item in clause):
        return None
    words = {item.word for item in clause if item.kind == "word"}
    asked = any(item.question for item in clause)
    for cue in cues():
        if asked and cue.name.startswith("done."):
            continue
        met = [group & words for group in cue.groups]
        if all(met) and not words - cue.beside - _empty_words() - frozenset().union(*cue.groups):
            return cue.name
    return None
