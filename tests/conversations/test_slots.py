"""Slots: which of them a word may begin."""

from __future__ import annotations

from conversations.understanding.rows import row_of
from conversations.understanding.sentences import WORDY, tree
from conversations.understanding.slots import Slots
from tests.conversations.corpus import PARTS, messages


def test_what_needs_a_figure_never_begins_with_a_word() -> None:
    kinds: set[str] = set()
    seen, waiting = set(), [tree()]
    while waiting:
        node = waiting.pop()
        if id(node) in seen:
            continue
        seen.add(id(node))
        kinds |= {kind for kind, _, _ in node.slots}
        waiting += [*node.words.values(), *(reached for _, _, reached in node.slots)]
    figures = kinds - WORDY
    assert {"gravity", "volume", "duration"} <= figures
    looked = 0
    for part in PARTS:
        for message in messages(part)[::5]:
            items = row_of(message.text, message.context)[0]
            slots = Slots(message.text, items, message.context)
            for i, item in enumerate(items):
                if item.kind == "word":
                    looked += 1
                    assert not [kind for kind in figures if list(slots.read(kind, i))], (message.text, item.word)
    assert looked > 500
