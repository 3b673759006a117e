"""A question that names another batch is answered of that one, and readings go where they went before."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib.resources import files

from conversations.intents import Intent
from conversations.session import batch_names
from conversations.session.state import Batch
from conversations.session.turn import Turn

ASKS = ("ask.", "picture.", "cost.batch", "export.batch", "export.labels", "diary.value")
"""Intents and families of them that change nothing, and are about one batch."""
_NAMED = ("name", "which", "a", "what")
"""Slots in which the sentence itself has read a batch."""
_BEFORE = frozenset(["the", "my", "our", "that", "this", "old", "last", "of", "with", "for", "on"])
_NO_BATCH_BEHIND = frozenset(
    ["taste", "tastes", "smell", "smells", "flavour", "flavor", "aroma", "malt", "malts", "hop", "hops", "yeast", "side", "finish", "grain", "sugar", "water", "note", "wort"]
)
"""Behind "the bitter" or "the wheat" they make it no beer."""


def named(turn: Turn, text: str, intent: Intent) -> Batch | None:
    """The batch that the words of a question name, where it is another one than the current one; else None."""
    if not intent.name.startswith(ASKS) or any(key in intent.slots for key in _NAMED):
        return None
    words = [word for word in re.split(r"[^\w'’-]+", text.lower()) if word]
    current = set(turn.batch.name.lower().split()) if turn.batch is not None else set()
    found: list[tuple[int, Batch]] = []
    for batch in turn.state.batches:
        own = {word for word in batch.name.lower().split() if len(word) > 3} - batch_names.ANY_BEER - current
        hits = [k for k, word in enumerate(words) if re.sub(r"['’]s$", "", word) in own]
        meant = [k for k in hits if _stands_for_a_beer(words, k, batch)]
        if meant:
            found.append((len(hits), batch))
    best = max((count for count, _ in found), default=0)
    return max((batch for count, batch in found if count == best), key=lambda each: each.started, default=None)


def _stands_for_a_beer(words: list[str], k: int, batch: Batch) -> bool:
    behind = words[k + 1] if k + 1 < len(words) else ""
    own = set(batch.name.lower().split())
    begins = k
    while begins and words[begins - 1] in own:
        begins -= 1
    return behind not in _NO_BATCH_BEHIND and begins > 0 and words[begins - 1] in _BEFORE


@cache
def _questions() -> tuple[tuple[str, dict[str, str], re.Pattern[str]], ...]:
    rows = tomllib.loads(files("conversations.session").joinpath("named_batches.toml").read_text(encoding="utf-8"))["question"]
    return tuple((row["intent"], row.get("slots", {}), re.compile(each.replace("{batch}", "«batch»"))) for row in rows for each in row["patterns"])


def asked(turn: Turn, text: str) -> Intent | None:
    """A question of named_batches.toml about batches that are there; None where it is none of those."""
    plain, found = _with_marks(turn, " ".join(re.sub(r"[?!.,;:]+", " ", text.lower().replace("’", "'")).split()))
    if not found:
        return None
    for name, fixed, pattern in _questions():
        match = pattern.fullmatch(plain)
        if match is None:
            continue
        slots = {"a": found[0], "b": found[1]} if name == "diary.compare" else {"name": found[0], **fixed, **match.groupdict()}
        return Intent(name=name, slots=slots, text=text)
    return None


def _with_marks(turn: Turn, plain: str) -> tuple[str, list[str]]:
    """The text with a mark for each batch that it names, and the names as they were said."""
    words, found, k = plain.split(), [], 0
    shown: list[str] = []
    while k < len(words):
        end = k + 1 if words[k] in ("the", "my", "our") else k
        longest = next((j for j in range(min(len(words), end + 6), end, -1) if _names(turn, words[end:j])), None)
        if longest is None:
            shown.append(words[k])
            k += 1
            continue
        found.append(" ".join(words[end:longest]))
        shown.append("«batch»")
        k = longest
    return " ".join(shown), found


def _names(turn: Turn, words: list[str]) -> bool:
    """Whether these words, all of them, are of the name of one batch, and tell it from any beer."""
    if not set(words) - batch_names.ANY_BEER:
        return False
    return any(set(words) <= set(batch.name.lower().split()) for batch in turn.state.batches)


@contextmanager
def answered_of(turn: Turn, text: str, intent: Intent) -> Iterator[None]:
    """While it is answered the batch that is named stands for the current one."""
    other, here = named(turn, text, intent), turn.state.current
    if other is None:
        yield
        return
    said, every = len(turn.lines), turn.state.batches
    # Alone in the diary, so that an answer of all that are on their way is of this one.
    turn.state = turn.state.model_copy(update={"current": other.id, "batches": (other,)})
    try:
        yield
    finally:
        shown = {each.id: each for each in turn.state.batches}
        turn.state = turn.state.model_copy(update={"current": here, "batches": tuple(shown.get(each.id, each) for each in every)})
    name = batch_names.label(other, turn.state)
    if not any(other.name in line for line in turn.lines[said:]):
        turn.lines.insert(said, f"{name}:")
