"""`potside hear` and `potside say`."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO

from bot.ask import as_object
from bot.speech.audio import LARGEST_BYTES
from bot.speech.hear import Hearing, chosen_ear, hear_voice
from bot.speech.port import SpeechError
from conversations.intents import Understanding
from conversations.session.fold import batch_of
from conversations.session.state import Batch, State
from conversations.session.step import context_of, step
from conversations.understanding.beyond_sentences import read


def at_stage(state: State, stage: str | None, now: datetime) -> State:
    """The state with a batch at this stage; its own batch is moved there where it has one."""
    if stage is None:
        return state
    here = batch_of(state, state.current)
    if here is None:
        here = Batch(id=state.next_id, name="batch", started=now, stage_since=now)
    moved = here.model_copy(update={"stage": stage, "stage_since": now})
    others = tuple(batch for batch in state.batches if batch.id != moved.id)
    update = {"batches": (*others, moved), "current": moved.id, "next_id": max(state.next_id, moved.id + 1)}
    return state.model_copy(update=update)


def read_note(path: str) -> bytes:
    """The bytes of a file, one more than the limit at most; raises SpeechError where it cannot be read."""
    try:
        with Path(path).open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise SpeechError(f"{path} cannot be read: {(error.strerror or 'unknown').lower()}.") from error


def hear(paths: Iterable[str], state: State, now: datetime, name: str, model: str, as_json: bool, out: TextIO) -> int:
    """Answer each file on its own, nothing is recorded; 1 where one could not be read, else 0."""
    ear, instead = chosen_ear(name, model)
    if instead:
        print(f"potside: {instead}", file=sys.stderr)
    code = 0
    for path in paths:
        try:
            hearing = hear_voice(read_note(path), state, now, ear)
        except SpeechError as fault:
            hearing, code = Hearing("reject", "", 0.0, complaint=str(fault)), 1
        found = hearing_object(path, hearing, state, now, ear.name)
        print(json.dumps(found, ensure_ascii=False) if as_json else _in_words(found), file=out, flush=True)
    return code


def hearing_object(
    path: str, hearing: Hearing, state: State, now: datetime, engine_name: str
) -> dict[str, Any]:
    """What `--json` prints of one file."""
    understanding = read(hearing.text, context_of(state, now)) if hearing.text else Understanding(text="")
    replies = step(state, hearing.message(), now).replies
    return {
        "file": path,
        "engine": engine_name,
        "decision": hearing.decision,
        "confidence": round(hearing.confidence, 3),
        "hypotheses": [{"text": text, "confidence": round(sure, 3)} for text, sure, *_ in hearing.hypotheses],
        "choices": [{"label": each.label, "says": each.says} for reply in replies for each in reply.choices],
        **as_object(understanding, replies),
    }


def _in_words(found: dict[str, Any]) -> str:
    buttons = "  ".join(f"[{each['label']}]" for each in found["choices"])
    return f"{found['reply']}\n{buttons}".rstrip()


def say(text: str, target: Path) -> int:
    """Write a voice note of the text; raises SpeechError and OSError."""
    from bot.speech.speak import voice_note
    from conversations.session.wording import spoken

    target.write_bytes(voice_note(spoken(text)))
    print(f"Wrote {target}.")
    return 0
