"""The name that a recipe's first line gives to the beer."""

from __future__ import annotations

import re

from conversations.recipe.mark import Mark
from conversations.recipe.words import keys, recipe_words, words_of

_LAST_WORDS = re.compile(r"(?:\bfor|\bto make|\bmakes)\Z", re.IGNORECASE)
_CALLED = re.compile(r"\b(?:called|named|calling(?:\s+(?:it|this|mine|her|him))?|(?:i|we)\s+call\s+(?:it|this|her|him))\s+(?P<name>[^,;.()]+)", re.IGNORECASE)
_QUOTED = re.compile(r"[«“\"]\s?(?P<name>[A-ZÀ-Þ][^«»“”\"\d,;:.]{2,40}?)\s?[»”\"]")
_TAKE = re.compile(
    r"^for\s+(?!(?:a|an|the|this|that|it|my|our|me|us|\d+)\b)(?P<name>\S(?:.*?\S)??)\s+(?:i|we|you|one)\s+(?:take|use|need|want|mash)s?\b",
    re.IGNORECASE,
)
_WRITTEN = re.compile(r"^[A-ZÀ-Þ][\w'’-]*(?:\s(?:[A-ZÀ-Þ][\w'’-]*|No\.|of|the|and|a|in|on|&|\d{1,2})){1,5}$")
"""Two to six words, each but the small ones with a capital."""
_TALKING = 5
"""Words from which on a first line without capitals is talk about the recipe."""
_SMALL = frozenset({"of", "the", "and", "a", "in", "on", "du", "de", "la", "le", "von", "der", "die"})
_ENDING = frozenset({"volume", "mass", "gravity", "number", "key"})


def title(line: str, found: list[Mark]) -> str:
    """The beer's name in the line, or empty where the line is talk."""
    end = next((m.start for m in found if m.kind in _ENDING and not _numbers_a_page(line, m) and not _inside_word(line, m) and not _of_the_name(m)), len(line))
    for said in (_QUOTED.search(line), _CALLED.search(line), _TAKE.match(line)):
        if said is not None:
            return said["name"][: max(0, end - said.start("name"))].strip(" *#=:.-–—\"'")[:60]
    head, colon, behind = line[:end].rpartition(": ")
    if colon and _WRITTEN.match(_without_end(behind)) and "," in head:
        # "the old notebook, page 14: Lamplighter Mild"
        return _without_end(behind)[:60]
    name = _between_pictures(line[:end].split(",")[0].split(" / ")[0])
    name = _without_end(name).strip(" *#=:.-–—")[:60]
    words = name.casefold().replace("’", "'").split()
    if words and (words[0].strip(",.:!") in recipe_words()["talk"] or words[:2] == ["my", "dear"] or words[0] == "dearest"):
        return ""
    return "" if set(words) <= words_of("size", "cues") | {"size"} else name


def _between_pictures(name: str) -> str:
    """The first words of a line that is set with little pictures."""
    parts = [part.strip() for part in re.split(r"[^\w\s!-/:-@\[-`{-~’‘“”«»–—°½¼¾€£]+", name) if re.search(r"\w", part)]
    return parts[0] if parts else name


def _without_end(name: str) -> str:
    """The name without what leads on to the size behind it: "Mild - makes (".

    By hand: one expression for all of it takes minutes over a line of nothing but blanks.
    """
    name = name.rstrip(" \t\xa0(")
    return _LAST_WORDS.sub("", name).rstrip().rstrip("-–—:,(|/").rstrip()


def written_title(line: str, found: list[Mark], before: str) -> str:
    """The name that a line below the talk is: "hey Ben, here you go", then "Lapwing Pale Ale"; else ``before``, the name so far.

    The line holds it alone or with the size behind it, and it is written as names are.
    """
    if _WRITTEN.match(before) or 0 < len(before.split()) < _TALKING or any(m.kind not in ("word", "name", "sep", "volume", "number") for m in found):
        return before
    end = next((m.start for m in found if m.kind == "volume"), len(line))
    name = _without_end(line[:end].strip(" *#=:.-–—,("))
    words = [word.casefold() for word in name.split()]
    spoken = keys().keys() | words_of("size", "cues") | words_of("size", "against") | words_of("names", "figures")
    if not _WRITTEN.match(name) or words[0] in recipe_words()["talk"] or spoken.intersection(words):
        return before
    return name[:60]


def says_name(line: str) -> bool:
    """Whether the line says outright what the beer is called, whatever else it holds."""
    return bool(_QUOTED.search(line) or _CALLED.search(line) or _TAKE.match(line))


def called(line: str) -> str:
    """What a line anywhere says outright that the beer is called, written as names are; else empty."""
    said = _QUOTED.search(line) or _CALLED.search(line)
    words = said["name"].split() if said is not None else []
    kept = [word for number, word in enumerate(words) if all(each[:1].isupper() or each in _SMALL for each in words[: number + 1])]
    return " ".join(kept).strip(" *#=:.-–—\"'")[:60] if kept and kept[0][:1].isupper() else ""


def _of_the_name(mark: Mark) -> bool:
    """ "Third Floor Ale", "Mile Eighty Stout": a number in letters, with a capital, is part of a name."""
    return mark.kind == "number" and mark.text[:1].isupper() and mark.text.isalpha()


def _numbers_a_page(line: str, mark: Mark) -> bool:
    """ "page 14: Lamplighter Mild": where it is written, no size."""
    return mark.kind == "number" and bool(re.search(r"\bp(?:age|\.)?\s?$", line[max(0, mark.start - 6) : mark.start], re.IGNORECASE))


def _inside_word(line: str, mark: Mark) -> bool:
    """ "No-mash Amber", "pale v3": part of a word and so of the name."""
    before, after = line[: mark.start], line[mark.end :]
    joined = mark.kind == "key" and (before.endswith("-") or after.startswith("-"))
    return joined or (mark.kind == "number" and bool(re.search(r"\bv$", before, re.IGNORECASE)))
