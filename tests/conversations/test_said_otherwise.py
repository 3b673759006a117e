"""Ways of speaking beside the labelled corpus: what each message means, without its numbers."""

from __future__ import annotations

from conversations.intents import Context
from conversations.understanding.understand import understand
from tests.conversations.corpus import FOLDER, NOW, ZONE

BAR = 0.97


def test_messages_said_otherwise_mean_the_same() -> None:
    lines = [line for line in (FOLDER / "said_otherwise.txt").read_text(encoding="utf-8").splitlines() if " => " in line]
    missed = []
    for line in lines:
        stage, _, rest = line.partition(" | ")
        text, _, wanted = rest.rpartition(" => ")
        found = understand(text, Context(now=NOW, zone=ZONE, stage=None if stage == "-" else stage))
        if [intent.name for intent in found.intents] != wanted.split(";"):
            missed.append(text)
    assert len(lines) > 900
    assert len(missed) <= (1 - BAR) * len(lines), missed
