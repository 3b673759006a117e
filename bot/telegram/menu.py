"""The command menu, and what each command means in words."""

from __future__ import annotations

import re

MENU = (
    ("next", "what is next"),
    ("left", "how long is left"),
    ("undo", "take the last thing back"),
    ("diary", "readings and notes of the batch"),
    ("recipe", "the recipe"),
    ("why", "the working behind the last answer"),
    ("share", "let somebody into this diary, or one batch"),
    ("unshare", "who was let in, and ending it"),
    ("invite", "a link for somebody new (owner)"),
    ("people", "who may talk to me (owner)"),
    ("export", "a copy of my data"),
    ("erase", "erase my data"),
    ("help", "what I understand"),
)
_WORDS = {
    "next": "what's next",
    "left": "how long left",
    "undo": "undo",
    "diary": "show the diary",
    "recipe": "show the recipe",
    "why": "why?",
    "help": "help",
    "start": "help",
}


def as_words(text: str, username: str = "") -> str:
    """A slash command or a message that names the bot, as the words that it stands for.

    >>> as_words("/next@somebot")
    "what's next"
    >>> as_words("/brew_5 litres")
    'brew 5 litres'
    """
    if username:
        text = re.sub(rf"@{re.escape(username)}\b[,:]?", "", text, flags=re.IGNORECASE).strip()
    found = re.match(r"/([A-Za-z0-9_]{1,32})(?:@\w+)?\s*(.*)", text, re.DOTALL)
    if not found:
        return text
    name, rest = found[1], found[2]
    if name.lower() in _WORDS and (not rest or name.lower() == "start"):
        # A short deep link: t.me/...?start=next.
        return as_words("/" + rest) if rest and rest.lower() in _WORDS else _WORDS[name.lower()]
    return f"{name.replace('_', ' ')} {rest}".strip()
