"""A brew day by voice alone: every message of a scripted day is spoken, heard in its situation, and judged.

    python benchmarks/speech_day.py fixtures/days/heather_lane_metric.txt --voice "hibari heart" [--condition "20 dB"]

What is asked about is answered with the right button where there is one. What was taken wrongly is listed, taken
back, and typed, so that the day goes on as it should.
"""

from __future__ import annotations

import argparse
from collections import Counter
from datetime import UTC
from pathlib import Path

import speech_corpus as corpus

from bot.clock import SimulatedClock
from bot.engine import Engine
from bot.script import Move, read_script
from bot.speech.hear import chosen_ear, hear_voice
from bot.speech.what_is_said import aloud
from bot.store import Incoming, Store
from conversations.hearing import meaning_of
from conversations.session.events import Heard
from conversations.session.step import context_of
from conversations.understanding.understand import understand

CHAT = "voice"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("script", type=Path)
    parser.add_argument("--voice", default="hibari heart")
    parser.add_argument("--condition", choices=corpus.CONDITIONS, default="clean")
    parser.add_argument("--engine", choices=("pocketsphinx", "both"), default="pocketsphinx")
    parser.add_argument("--model", default="")
    arguments = parser.parse_args()
    ear, instead = chosen_ear(arguments.engine, arguments.model)
    print(instead, end="")
    start, steps = read_script(arguments.script.read_text(encoding="utf-8").splitlines())
    clock, store = SimulatedClock(start), Store.in_memory()
    engine = Engine(store, clock, lambda chat, reply, at: None)
    now, counts = start.astimezone(UTC), Counter[str]()
    for number, one in enumerate(steps):
        if isinstance(one, Move):
            now += one.by
            while (due := store.next_due(CHAT, clock.now())) is not None and due.due <= now:
                clock.move_to(due.due)
                engine.fire_due()
            clock.move_to(now)
            continue
        state = store.state(CHAT)
        context = context_of(state, clock.now())
        said = aloud(one.text) or one.text
        note = corpus.note(corpus.Utterance(context.stage, said, True), arguments.voice, arguments.condition)
        hearing = hear_voice(note, state, clock.now(), ear)
        wanted = meaning_of(understand(one.text, context))
        got = [meaning_of(understand(text, context)) for text in (hearing.text, *hearing.choices)]
        what = {"accept": "right" if got[0] == wanted else "wrong", "reject": "rejected"}.get(hearing.decision, "")
        what = what or ("asked, right button" if wanted in got else "asked, no right button")
        counts[what] += 1
        if what != "right":
            heard = hearing.text or hearing.choices or [each.text for each in hearing.hypotheses[:1]]
            print(f"{context.stage or 'no batch'}: {said!r} {what}: {heard!r}")
        message = hearing.message() if what == "right" else Heard(text=one.text)
        engine.handle(Incoming(f"note:{number}", CHAT, message, clock.now()))
        engine.fire_due()
    total = sum(counts.values())
    print(f"{total} notes, {arguments.voice}, {arguments.condition}, {ear.name}: {dict(counts)}")


if __name__ == "__main__":
    main()
