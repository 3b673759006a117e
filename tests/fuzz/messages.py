"""Made-up messages and recipes: what people write, changed the way typing, hearing and malice change it."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from random import Random

from conversations.understanding.understand import list_intents

FIXTURES = Path(__file__).parents[2] / "fixtures"
LONGEST = 2000
LONGEST_RECIPE = 3000
"""Of most of them: some are as long as is read at all."""
_ODD = (
    "0", "-3", "1e9", "1.050", "1,05", "1,050.5", "½", "1/2", "1/0", "0.0000001", "999999999999999999", "٣", "²", "Ⅷ", "①",
    "25:00", "5:60", "12:30", "31.2.", "2026-02-30", "°C", "F", "%", "l", "kg", "@", "at", "to", "and", "or", ":", "(", ")", "[",
    "]", "{", "}", "|", "\\", "'", '"', "’", "`", "--", "/", "?", "!", ".", ",", ";", "\n", "\t", "\r", "\0", "\u202e", "\u200b",
    "\ufeff", "\u0301" * 20, "🍺", "👩‍🔬", "İ", "ß", "ﬁ", "\ud800", "\U0010ffff", "no", "not", "tomorrow", "yesterday", "every",
    "twenty", "hundred", "thousand", "half", "quarter", "dozen", "point", "oh", "a" * 200, "1" * 200, "<b>", "&amp;", "$x$",
    "{0}", "%s", "' OR 1=1 --", "NEAR(", "=1+1", "../../etc/passwd", "/start", "note:", "undo",
)  # fmt: skip


@cache
def texts() -> tuple[str, ...]:
    """Every example of the language and every labelled message that may be developed against."""
    found = [example for _, example in list_intents()]
    for page in sorted((FIXTURES / "understanding").glob("[dn]*.toml")):
        data = tomllib.loads(page.read_text(encoding="utf-8"))
        found += [each if isinstance(each, str) else each["text"] for each in data["messages"]]
    for page in sorted((FIXTURES / "days").glob("*.txt")):
        found += [line for line in page.read_text(encoding="utf-8").splitlines() if line and line[0] not in "@#+"]
    return tuple(found)


@cache
def recipes() -> tuple[str, ...]:
    """The recipe texts."""
    return tuple(page.read_text(encoding="utf-8") for page in sorted((FIXTURES / "recipes").glob("*.txt")))


@cache
def _words() -> tuple[str, ...]:
    return tuple(sorted({word for text in texts() for word in text.split()}))


def _figure(random: Random) -> str:
    whole = random.choice((0, 1, 2, 12, 66, 100, 1050, random.randrange(10**6), 10 ** random.randrange(30)))
    return random.choice((str(whole), f"-{whole}", f"{whole}.{random.randrange(1000)}", f"{whole},{random.randrange(1000)}"))


def _changed_pieces(pieces: list[str], random: Random) -> list[str]:
    """One change by words."""
    pieces = pieces or [""]
    i = random.randrange(len(pieces))
    change = random.randrange(7)
    if change == 0:
        del pieces[i]
    elif change == 1:
        pieces.insert(i, random.choice(_words()))
    elif change == 2:
        pieces.insert(i, random.choice(_ODD))
    elif change == 3:
        pieces[i] = _figure(random)
    elif change == 4:
        j = random.randrange(len(pieces))
        pieces[i], pieces[j] = pieces[j], pieces[i]
    elif change == 5:
        other = random.choice(texts()).split()
        pieces[i:] = other[random.randrange(len(other) + 1) :]
    else:
        pieces[i:i] = pieces[i : i + random.randrange(1, 5)] * random.randrange(1, 4)
    return pieces


def _changed_letters(text: str, random: Random) -> str:
    """One change by letters."""
    i = random.randrange(len(text) + 1)
    j = min(len(text), i + random.randrange(1, 4))
    change = random.randrange(5)
    if change == 0:
        return text[:i] + text[j:]
    if change == 1:
        return text[:i] + random.choice(_ODD) + text[i:]
    if change == 2:
        return text[:i] + text[i:j].swapcase() + text[j:]
    if change == 3:
        return text[:i] + text[i:j][::-1] + text[j:]
    return text[:i] + chr(random.choice((random.randrange(32, 127), random.randrange(0x3000), random.randrange(0x110000)))) + text[j:]


def message(random: Random, longest: int = LONGEST) -> str:
    """A message; one in thirty fills what a message may be."""
    kind = random.random()
    if kind < 0.05:
        return random.randbytes(random.randrange(200)).decode("utf-8", random.choice(("replace", "surrogateescape")))
    if kind < 0.08:
        piece = random.choice((random.choice(_ODD), random.choice(_words()), random.choice(texts()), _figure(random)))
        piece += random.choice(("", " ", ", ", "\n"))
        return (piece * longest)[: random.choice((longest, random.randrange(1, longest)))]
    if kind < 0.1:
        text = random.choice((" ", ", ", "\n", " and ")).join(random.choice(texts()) for _ in range(random.randrange(2, 60)))
        return text[:longest]
    text = random.choice(texts())
    if kind < 0.2:
        text = f"{text}{random.choice((' ', ', ', ' and ', '. '))}{random.choice(texts())}"
    pieces = text.split()
    for _ in range(random.randrange(4)):
        pieces = _changed_pieces(pieces, random)
    text = random.choice((" ", " ", " ", "\n", "  ", ",")).join(pieces)
    for _ in range(random.choice((0, 0, 1, 3))):
        text = _changed_letters(text, random)
    return text[:longest]


def recipe(random: Random, longest: int = LONGEST_RECIPE) -> str:
    """A recipe's text; one in forty is as long as is read at all."""
    kind = random.random()
    if kind < 0.1:
        return message(random, longest)
    if kind < 0.125:
        piece = random.choice(random.choice(recipes()).splitlines() or [""]) + random.choice(("\n", " ", ", ", ""))
        return (piece * 12_000)[:12_000]
    lines = random.choice(recipes()).splitlines()
    for _ in range(random.randrange(1, 5)):
        change, i = random.randrange(5), random.randrange(len(lines) + 1)
        if change == 0:
            lines[i : i + random.randrange(1, 8)] = []
        elif change == 1:
            lines[i:i] = random.choice(recipes()).splitlines()[: random.randrange(1, 8)]
        elif change == 2:
            lines[i:i] = [message(random, 200)]
        elif lines[i : i + 1]:
            lines[i] = " ".join(_changed_pieces(lines[i].split(), random)) if change == 3 else _changed_letters(lines[i], random)
    return random.choice(("\n", "\n", "\n", "\n\n", ", ", " / ")).join(lines)[:longest]
