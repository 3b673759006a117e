"""Replies as the messenger takes them: escaped, in pieces that fit, with buttons for wet hands."""

from __future__ import annotations

import html
from collections.abc import Sequence

LONGEST = 4096
"""UTF-16 units in one message; an emoji counts as two."""
_WIDE = 14
"""A label longer than this gets a row of its own: two short ones side by side are still big enough for a thumb."""


def length(text: str) -> int:
    """Length as the service counts it."""
    return len(text.encode("utf-16-le")) // 2


def as_html(text: str) -> str:
    """The text with nothing in it that could be taken for formatting; the number comes first, in bold.

    >>> as_html("1.050 < 1.060\\nNext: stir & lid on.")
    '<b>1.050 &lt; 1.060</b>\\nNext: stir &amp; lid on.'
    >>> as_html("All right.")
    'All right.'
    """
    first, newline, rest = text.partition("\n")
    if not newline or length(first) > 80:
        return html.escape(text, quote=False)
    return f"<b>{html.escape(first, quote=False)}</b>\n{html.escape(rest, quote=False)}"


def pieces(text: str, longest: int = LONGEST - 96) -> list[str]:
    """The text in parts that fit, cut at paragraphs, else lines, else sentences, else words, else anywhere.

    >>> pieces("one two three", 8)
    ['one two', 'three']
    """
    parts: list[str] = []
    rest = text.strip()
    while length(rest) > longest:
        head = _head(rest, longest)
        cut = next((at for mark in ("\n\n", "\n", ". ", " ") if (at := head.rfind(mark)) > 0), 0)
        cut = cut + 1 if cut and head[cut] == "." else cut or len(head)
        parts.append(rest[:cut].rstrip())
        rest = rest[cut:].lstrip()
    return [*parts, rest] if rest else parts


def _head(text: str, longest: int) -> str:
    """The longest start of a text that fits."""
    head = text[:longest]
    while length(head) > longest:
        head = head[: len(head) - max(1, (length(head) - longest) // 2)]
    return head


def rows(labels: Sequence[str]) -> list[list[int]]:
    """Which labels stand beside each other: two short ones a row, long ones alone.

    >>> rows(["done", "in 5 minutes", "a rather long answer", "skip"])
    [[0, 1], [2], [3]]
    """
    found: list[list[int]] = []
    for number, label in enumerate(labels):
        short = len(label) <= _WIDE
        if short and found and len(found[-1]) == 1 and len(labels[found[-1][0]]) <= _WIDE:
            found[-1].append(number)
        else:
            found.append([number])
    return found
