"""What the platform accepts as HTML in a message, which the emulator does not look at.

Source: the platform's published Bot API page, section "HTML style": the tags and the four named entities.
"""

from __future__ import annotations

import re

ALLOWED = {
    "b", "strong", "i", "em", "u", "ins", "s", "strike", "del", "span", "tg-spoiler", "a", "tg-emoji", "code",
    "pre", "blockquote",
}  # fmt: skip
ATTRIBUTES = {"a": {"href"}, "span": {"class"}, "code": {"class"}, "tg-emoji": {"emoji-id"}, "blockquote": {"expandable"}}
_TAG = re.compile(r"<(/?)([a-zA-Z][a-zA-Z0-9-]*)((?:\s+[a-zA-Z-]+(?:\s*=\s*(?:\"[^\"<]*\"|'[^'<]*'))?)*)\s*>")
_ENTITY = re.compile(r"&(?:lt|gt|amp|quot|#[0-9]+|#x[0-9a-fA-F]+);")


def complaint(text: str) -> str | None:
    """What the platform would refuse in this text sent with ``parse_mode=HTML``; None where it is in order."""
    open_tags: list[str] = []
    place = 0
    while (less := text.find("<", place)) >= 0:
        found = _TAG.match(text, less)
        if found is None:
            return f"unsupported start tag at offset {less}"
        closing, name, attributes = found[1], found[2].lower(), found[3]
        if name not in ALLOWED:
            return f'unsupported start tag "{name}" at offset {less}'
        if closing:
            if not open_tags or open_tags.pop() != name:
                return f'unexpected end tag "{name}" at offset {less}'
        else:
            named = set(re.findall(r"\s([a-zA-Z-]+)(?=\s|=|$)", attributes))
            if not named <= ATTRIBUTES.get(name, set()):
                return f'unsupported attribute of "{name}" at offset {less}'
            open_tags.append(name)
        place = found.end()
    if open_tags:
        return f'no end tag for "{open_tags[-1]}"'
    for found in re.finditer("&", text):
        if not _ENTITY.match(text, found.start()):
            # The platform itself lets a lonely & pass; escaped text never has one.
            return f"an & that is not escaped at offset {found.start()}"
    return None
