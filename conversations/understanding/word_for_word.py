"""Whether a message is a sentence of the language data word for word, with nothing put in between."""

from __future__ import annotations

from conversations.intents import Context, Understanding
from conversations.understanding.fitting import fits
from conversations.understanding.rows import row_of
from conversations.understanding.sentences import matches
from conversations.understanding.slots import Slots


def is_word_for_word(said: Understanding, context: Context) -> bool:
    """Whether one sentence of what was understood goes through the whole message; small words ("the", "please") aside."""
    items, _ = row_of(said.text, context)
    if len(said.intents) != 1 or said.unread or not items:
        return False
    name = said.intents[0].name
    slots = Slots(said.text, items, context)
    return any(
        match.start == 0 and match.end == len(items) and match.sentence.name == name and fits(match, context.stage or "none", context.expects)
        for match in matches(items, slots.read, most_skipped=0)
    )
