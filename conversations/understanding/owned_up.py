"""A figure put right in any words: "hang on a sec, 13.1", "got my numbers mixed up, it's 65", "13.1*".

The message must hold nothing but words that own up to a slip and one figure that may stand for the one told last.
"""

from __future__ import annotations

import re
from functools import cache

from conversations.intents import Context, Measured, Span
from conversations.understanding.quantities import KINDS
from conversations.understanding.rows import row_of
from conversations.understanding.words import listed

_LONGEST = 120
_OF_ONE_ORDER = 3
_BLANKS = re.compile(r"\s+")
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*|\*")


@cache
def _phrases(name: str) -> tuple[tuple[str, ...], ...]:
    """The turns of speech of one list of data/owned_up.toml, the longest first."""
    return tuple(sorted((tuple(each.split()) for each in listed("owned_up", name)), key=len, reverse=True))


def _only(words: list[str], lists: tuple[str, ...]) -> set[str] | None:
    """Which lists words are made of, None where one of them is in none."""
    met: set[str] = set()
    i = 0
    while i < len(words):
        found = next(((name, len(phrase)) for name in lists for phrase in _phrases(name) if tuple(words[i : i + len(phrase)]) == phrase), None)
        if found is None:
            return None
        met.add(found[0])
        i += found[1]
    return met


def owned_up(text: str, context: Context) -> str | None:
    """The message in the plain words of a correction, "sorry 13.1"; None where it says anything else.

    >>> from datetime import UTC, datetime
    >>> from conversations.intents import Intent
    >>> last = Intent(name="reading.volume", slots={"volume": Measured(value=13.9, unit="litre")})
    >>> here = Context(now=datetime(2026, 1, 15, 12, tzinfo=UTC), stage="drain", last=last)
    >>> owned_up("hang on a sec, it's 13.1", here), owned_up("hang on a sec, 13.1 minutes", here), owned_up("it's 13.1", here)
    ('sorry 13.1', None, None)
    """
    last = context.last
    if last is None or not last.name.startswith("reading.") or len(text) > _LONGEST or "?" in text:
        return None
    old = _main(last.slots)
    # "Wait a minute" is no length of time.
    figures = [span for span in row_of(text, context)[1] if span.unit != "second" or any(letter.isdigit() for letter in span.text)]
    gone = [span for span in figures if old is not None and len(figures) == 2 and span.value in (old.value, round(old.value * 1000))]
    figures = [span for span in figures if span not in gone]
    if len(figures) != 1 or old is None or not _may_stand_for(figures[0], old):
        return None
    figure = figures[0]
    pieces = [text[: figure.start], text[figure.end :]]
    for span in gone:
        # "it's no 13.9 it's 13.1"
        pieces = [piece.replace(span.text, " ") for piece in pieces]
    denied = ("beside_old",) if gone else ()
    before, behind = (_WORD.findall(_BLANKS.sub(" ", piece.lower().replace("’", "'"))) for piece in pieces)
    first, second = _only(before, ("slips", "leads", *denied)), _only(behind, ("slips", "closes", *denied))
    if first is None or second is None or not {"slips", "beside_old"} & (first | second):
        return None
    return f"sorry {figure.text}"


def _may_stand_for(figure: Span, old: Measured) -> bool:
    """Whether a figure may be what the last one should have been: of its kind, and not of another order."""
    if figure.unit != "dimensionless":
        return KINDS.get(figure.unit) == KINDS.get(old.unit)
    low, high = sorted((abs(figure.value), abs(old.value)))
    return old.unit == "dimensionless" or (low > 0 and high / low <= _OF_ONE_ORDER)


def _main(slots: dict[str, object]) -> Measured | None:
    """The figure of a reading."""
    value = next((value for key, value in slots.items() if key != "at"), None)
    if isinstance(value, dict) and "unit" in value:
        return Measured.model_validate(value)
    return value if isinstance(value, Measured) else None
