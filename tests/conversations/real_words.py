"""Find real words that the spelling would take for one of ours: ``python -m tests.conversations.real_words WORDS``.

WORDS is a file with one common English word a line, the most common first (for example made from Debian's
wamerican-small, or the first 25,000 of a frequency list). The result goes to
``conversations/understanding/data/real_words.txt``; run it again when many new words came into the sentences.
"""

from __future__ import annotations

import sys
from pathlib import Path

from conversations.understanding.sentences import tree
from conversations.understanding.words import spell, vocabulary

PAGE = Path("conversations/understanding/data/real_words.txt")
HEAD = "# Real English words that look like a slip of a word that Potside knows; found by tests/conversations/real_words.py.\n"
_VARIANTS = frozenset(["liter", "liters", "canceled", "labeled", "whats", "theyre", "shouldnt", "workin", "takin", "runnin", "meter", "meters"])
"""Spellings of ours from elsewhere, not other words."""


def main() -> None:
    """Add what the word list gives to the page."""
    tree()
    known = set(PAGE.read_text(encoding="utf-8").splitlines()[1:]) if PAGE.exists() else set()
    words = {line.strip().lower() for line in Path(sys.argv[1]).read_text(encoding="utf-8").splitlines()}
    found = {word for word in words if word.isalpha() and len(word) >= 4 and spell(word) != word}
    kept = sorted((known | found) - _VARIANTS - set(vocabulary()["confusions"]))
    PAGE.write_text(HEAD + "\n".join(kept) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
