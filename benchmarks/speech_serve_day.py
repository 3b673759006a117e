"""A brew day by voice alone through `potside serve`: notes go in as voice messages of the messenger, buttons come back.

    python benchmarks/speech_serve_day.py fixtures/days/heather_lane_metric.txt [--condition "20 dB"] [--model FOLDER]

The messenger is a Bot API server on the loopback (tests/bot/telegram_bench); `serve` keeps real time, so the day's
waits are left out. What is asked about is answered with the button that says what was meant, as a person would, and
typed where there is none. What was taken wrongly is listed, taken back and typed, so that the day goes on.
"""

from __future__ import annotations

import argparse
import json
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

import speech_corpus as corpus  # noqa: E402

from bot.clock import SimulatedClock  # noqa: E402
from bot.engine import Engine  # noqa: E402
from bot.script import Move, read_script  # noqa: E402
from bot.speech.what_is_said import aloud  # noqa: E402
from bot.store import Incoming, Store  # noqa: E402
from conversations.hearing import meaning_of  # noqa: E402
from conversations.session.echo import shown  # noqa: E402
from conversations.session.events import Heard  # noqa: E402
from conversations.session.step import context_of  # noqa: E402
from conversations.understanding.understand import understand  # noqa: E402
from tests.bot.telegram_bench.bench import ADA, Bench  # noqa: E402
from tests.bot.telegram_bench.proxy import Call  # noqa: E402
from tests.bot.telegram_bench.served import Served  # noqa: E402

CHAT = "typed"
NOT_TAKEN = ("could not make that out", "Nothing is recorded yet.")

KEEP = "yes, keep it"


class Typed:
    """The same day typed, to know what each note should come to."""

    def __init__(self) -> None:
        self.clock, self.store = SimulatedClock(datetime.now(UTC)), Store.in_memory()
        self.engine = Engine(self.store, self.clock, lambda chat, reply, at: None)
        self.count = 0

    def say(self, text: str) -> None:
        self.clock.move_to(datetime.now(UTC))
        self.count += 1
        self.engine.handle(Incoming(f"typed:{self.count}", CHAT, Heard(text=text), self.clock.now()))

    def stage(self) -> str | None:
        return context_of(self.store.state(CHAT), self.clock.now()).stage

    def meaning(self, text: str) -> str:
        return meaning_of(understand(text, context_of(self.store.state(CHAT), self.clock.now())))

    def label(self, text: str) -> str:
        return shown(understand(text, context_of(self.store.state(CHAT), self.clock.now())).intents) or text


def last_heard(data: Path) -> tuple[int, str]:
    """Number and words of the message that the server took last; no words where it made none out or asks."""
    with sqlite3.connect(data) as file:
        row = file.execute("SELECT id, data FROM events WHERE kind = 'heard' ORDER BY id DESC LIMIT 1").fetchone()
    return (int(row[0]), str(json.loads(row[1])["text"])) if row else (0, "")


def answer(bench: Bench, data: Path, number: int, before: int, seconds: float = 90.0) -> Call:
    """What the person is told once the server took another message than this one: its question, else its last line."""
    until = time.monotonic() + seconds
    while last_heard(data)[0] == number and time.monotonic() < until:
        time.sleep(0.05)
    bench.quiet(0.4)
    told = bench.sent(ADA.id)[before:]
    if not told:
        raise TimeoutError("no answer")
    return next((call for call in told if any(words in call.text for words in NOT_TAKEN)), told[-1])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("script", type=Path)
    parser.add_argument("--voice", default="hibari heart")
    parser.add_argument("--condition", choices=corpus.CONDITIONS, default="clean")
    parser.add_argument("--model", default="", help="folder of a whisper model: both engines listen")
    parser.add_argument("--library", default="", help="folder that faster-whisper is in, where it is not installed")
    arguments = parser.parse_args()
    _, steps = read_script(arguments.script.read_text(encoding="utf-8").splitlines())
    counts, typed, waits = Counter[str](), Typed(), list[float]()
    bench = Bench()
    program: tuple[str, ...] = ()
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "diary.db"
        settings = {"status_message": "false"} | ({"whisper_model": arguments.model} if arguments.model else {})
        if arguments.library:
            start = f"import sys; sys.path.append({arguments.library!r}); from bot.main import main; sys.exit(main(['--data', {str(data)!r}, 'serve']))"
            program = ("-c", start)
        served = Served(bench, data, program=program, **settings)
        try:
            served.pair()
            bench.quiet()
            for each in steps:
                if not isinstance(each, Move):
                    what, told = one(bench, typed, data, each.text, arguments, waits)
                    counts[what] += 1
                    if what != "right":
                        print(
                            f"{typed.stage() or 'no batch'}: {aloud(each.text) or each.text!r} {what}: {told}",
                            flush=True,
                        )
                    typed.say(each.text)
        finally:
            served.stop()
            bench.close()
    engine = "both" if arguments.model else "pocketsphinx"
    total = sum(counts.values())
    print(f"{total} notes, {arguments.voice}, {arguments.condition}, {engine}: {dict(counts)}")
    print(f"from note to answer: {sorted(waits)[len(waits) // 2]:.1f} s in the middle, {max(waits):.1f} s at most")


def one(
    bench: Bench, typed: Typed, data: Path, text: str, arguments: argparse.Namespace, waits: list[float]
) -> tuple[str, str]:
    """Send one note and settle it; what became of it, and what was heard."""
    said = aloud(text) or text
    note = corpus.note(corpus.Utterance(typed.stage(), said, True), arguments.voice, arguments.condition)
    wanted = typed.meaning(text)
    before, number, begin = len(bench.sent(ADA.id)), last_heard(data)[0], time.monotonic()
    bench.voice(ADA, bench.upload(note), len(note))
    told = answer(bench, data, number, before)
    waits.append(told.at - begin)
    if NOT_TAKEN[0] in told.text:
        what, heard = "rejected", ""
    # A reading that was heard and that the session questions, as it would one typed, is no question of hearing.
    elif NOT_TAKEN[1] in told.text and KEEP not in told.buttons:
        label = typed.label(said)
        what, heard = "asked, no right button", " / ".join(told.buttons)
        if label in told.buttons or typed.label(text) in told.buttons:
            bench.press_label(ADA, told, label if label in told.buttons else typed.label(text))
            bench.quiet(0.5)
            return "asked, right button", heard
    else:
        heard = last_heard(data)[1]
        if typed.meaning(heard) == wanted:
            return "right", heard
        what = "WRONG"
        bench.say(ADA, "undo")
        bench.quiet(0.5)
    bench.say(ADA, text)
    bench.quiet(0.5)
    return what, heard


if __name__ == "__main__":
    main()
