"""Words of the trade explained: "what is a hydrometer", "what does attenuation mean"; data/glossary.toml."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from conversations.understanding.closings import without_surroundings

_LONGEST = 90
_BEHIND = r"(?: (?:then|exactly|again|actually|anyway|in brewing|when brewing|for|used for|good for|please|though|even|called))*"
_CERTAIN = re.compile(
    r"(?:so |and |but )?(?:"
    rf"wh?[ao]t(?:'s|s| is| are| was) (?:an? |these |this |those )(?P<a>.+?){_BEHIND}"
    rf"|wh?[ao]t(?:'s|s| is| are) (?:the |an? |all the |my )?(?P<for>.+?) (?:used )?for{_BEHIND}"
    rf"|wh?[ao]t (?:does|do|did|is|are) (?:an? |the |that )?(?P<mean>.+?) (?:mean|means|do|stand for|meant|even mean){_BEHIND}"
    rf"|wh?[ao]t(?:'s|s)? (?:an? |the )?(?P<slang>.+?) mean{_BEHIND}"
    r"|(?:please )?(?:explain|define|describe|definition of|the meaning of|meaning of|wh?[ao]t do you mean by|wh?[ao]t is meant by|wh?[ao]t's the meaning of|wh?[ao]t is the meaning of"
    rf"|tell me about|tell me wh?[ao]t is|wh?[ao]t's the point of|wh?[ao]t is the point of)(?: to me)? (?:an? |the )?(?P<told>.+?){_BEHIND}"
    rf"|(?:i )?(?:don't|do not|dont) know wh?[ao]t (?:an? |the )?(?P<unknown>.+?) (?:is|are|means|mean){_BEHIND}"
    rf"|(?:can you |could you )?(?:tell me )?wh?[ao]t (?:an? |the )?(?P<order>.+?) (?:is|are|means){_BEHIND}"
    r")[?.! ]*",
    re.IGNORECASE,
)
"""Nothing of the batch is asked for by these."""
_PERHAPS = re.compile(rf"(?:so |and )?wh?[ao]t(?:'s|s| is| are) (?P<the>the )?(?P<what>.+?){_BEHIND}[?.! ]*|(?P<bare>[a-z -]+)[ ]?\\?+", re.IGNORECASE)
"""May ask for a word or for the batch's own figure ("what is the original gravity"); the page says for which there is one."""


@dataclass(frozen=True, slots=True)
class Definition:
    """What a word means, at most two lines, and where that is from."""

    key: str
    text: str
    source: str


@cache
def _rows() -> dict[str, dict[str, Any]]:
    page = files("conversations.understanding").joinpath("data", "glossary.toml")
    return tomllib.loads(page.read_text(encoding="utf-8"))


@cache
def _own() -> frozenset[str]:
    """Ways of saying a word that may ask for the batch's own figure."""
    return frozenset(_plain(said) for row in _rows().values() for said in row.get("own", ()))


@cache
def _terms() -> dict[str, Definition]:
    found: dict[str, Definition] = {}
    for key, row in _rows().items():
        meant = Definition(key, "\n".join(row["text"]), row["source"])
        for said in row["said"]:
            if found.get(_plain(said), meant) is not meant:
                raise ValueError(f"{said} is explained twice")
            found[_plain(said)] = meant
    return found


def _plain(said: str) -> str:
    return re.sub(r"[^\w]+", " ", said.lower().replace("'s", "")).strip()


def terms() -> dict[str, Definition]:
    """Every way of saying a word, and what it means."""
    return _terms()


def defined(text: str, *, certain: bool) -> Definition | None:
    """The word that a message asks to have explained; a certain one could not ask for anything else.

    >>> defined("what is a hydrometer?", certain=True).key, defined("quick one: what does IBU mean", certain=True).key
    ('hydrometer', 'ibu')
    >>> defined("what is the original gravity", certain=True), defined("what is attenuation", certain=False).key
    (None, 'attenuation')
    >>> defined("whats efficiency", certain=True).key, defined("whats the efficiency", certain=True)
    ('efficiency', None)
    """
    if len(text) > _LONGEST:
        return None
    asked = without_surroundings(text.replace("’", "'")).strip()
    if (sure := _CERTAIN.fullmatch(asked)) is not None:
        return _terms().get(_plain(next(each for each in sure.groupdict().values() if each is not None)))
    if (perhaps := _PERHAPS.fullmatch(asked)) is None:
        return None
    word = _plain(perhaps["what"] or perhaps["bare"])
    if certain and (perhaps["what"] is None or word in _own() or (perhaps["the"] and f"the {word}" in _own())):
        return None
    return _terms().get(word)
