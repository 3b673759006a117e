"""What the model makes of an author's messages when it has learned nothing of that author's: the figure that counts.

The sentences are left out too: every message is read by the model alone. (They were made with all these messages, so they
would read nearly everything; the words of their forms are learned all the same, which flatters the figures a little.)
"""

from __future__ import annotations

from collections.abc import Iterable

from conversations.intents import Context, Understanding
from conversations.understanding.beyond_sentences import beyond
from conversations.understanding.likely_intent import Model, likely
from conversations.understanding.likeness import likeness
from conversations.understanding.rows import row_of
from conversations.understanding.wordings import Bank
from tests.conversations.corpus import Message
from tests.conversations.judging import Reader, Verdict, judge
from tests.conversations.learning_material import GUARDS, labelled, material
from tests.conversations.train import Known, bank, learned


def authors() -> list[str]:
    """The parts of the development corpus, each by one author or one sitting."""
    return [name for name in labelled() if name.startswith("development")]


def without(author: str, rounds: int = 40) -> tuple[Model, Bank]:
    """Model and wordings that have seen nothing of an author's, nor what was written beside it in other words; the same words
    by others are left out too."""
    theirs = {message.text.lower() for message in labelled()[author]}
    kept = [each for each in material() if each.source not in (author, GUARDS) and each.text.lower() not in theirs]
    return learned(kept, rounds), Known(bank(kept))


def model_alone(model: Model, known: Bank) -> Reader:
    """Reads a message by the model and nothing else."""

    def read(text: str, context: Context) -> Understanding:
        message = likeness(text, context)
        found = Understanding(text=text, quantities=tuple(row_of(text, context)[1]), unread=(text,))
        every = likely(message, context, model)
        return beyond(found, message, context, every, known) or found

    return read


def of_one_intent(author: str) -> Iterable[Message]:
    """Messages that mean one thing, or nothing."""
    return (each for each in labelled()[author] if each.means is not None and len(each.means) <= 1)


def alone(author: str) -> tuple[Verdict, ...]:
    """The verdicts on one author's messages of one intent."""
    reader = model_alone(*without(author))
    return tuple(judge(message, reader) for message in of_one_intent(author))
