"""What a whole message is, told before its words are weighed: a note, a question that must not be cut up, a batch's code."""

from __future__ import annotations

import re

from conversations.intents import Intent
from conversations.understanding.yes_no import yes_no_question

_NOTED = re.compile(r"(?P<text>.*[^\s,.;:-])[\s,.;:-]+(note that|write that down|make a note( of that)?)\W*", re.IGNORECASE | re.DOTALL)
_NOTE = re.compile(r"\s*note\s*:(?P<text>.*\S)", re.IGNORECASE | re.DOTALL)
_ASKED = re.compile(r"\W*(did|have|do|can|could|would|will|should|shall|please|and|so)?\W*(you|i|we|it)?( just| already)?\W*", re.IGNORECASE)
"""Before "write that down" this asks, and is nothing to be noted."""
_CODE = re.compile(r"\s*(?:batch\s+|code\s+)?(?P<code>B\d{1,9}[A-HJ-NP-TV-Z])\s*[.!?]?\s*", re.IGNORECASE | re.ASCII)
"""A batch's short code as it stands on a label."""


def whole_message(text: str) -> Intent | None:
    """The one intent that a message is as a whole; None where it has to be read.

    >>> whole_message("note: 1.050 looks high").slots["text"], whole_message("b12x").slots["code"]
    ('1.050 looks high', 'B12X')
    """
    noted = _NOTE.match(text)
    if noted is None and (behind := _NOTED.fullmatch(text)) and not _ASKED.fullmatch(behind["text"]):
        noted = behind
    if noted:
        # What a colon announces is kept as it was written, numbers and all, and is not read for anything else.
        return Intent(name="note", slots={"text": noted["text"].strip()}, text=noted[0])
    if (asked := yes_no_question(text)) is not None:
        return asked
    if labelled := _CODE.fullmatch(text):
        return Intent(name="batch.code", slots={"code": labelled["code"].upper()}, text=labelled[0])
    return None
